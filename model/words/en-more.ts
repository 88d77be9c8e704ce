import type { MoreWords } from './more-words.ts';

export const enMore: MoreWords = {
  headline: { sentence: 'What you need now and then' },
  places: {
    log: {
      name: 'Log',
      isFor: 'Say what you did: filter cleaned, water changed, a bath, a new cover.',
    },
    setup: {
      name: 'Set-up',
      isFor:
        'Say what your tub, its collectors and its backup are like; what you do not say is assumed.',
    },
    phones: {
      name: 'Phones',
      isFor: 'Who may see and who may change; let one more phone in, or shut one out.',
    },
    notices: {
      name: 'Notices',
      isFor: 'Whether this phone tells you when something is wrong, and when it keeps quiet.',
    },
    handover: {
      name: 'Hand-over file',
      isFor: 'Some days in one file, for somebody who is to help.',
    },
  },
};

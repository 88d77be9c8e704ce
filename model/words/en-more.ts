import type { MoreWords } from './more-words.ts';

export const enMore: MoreWords = {
  headline: { sentence: 'What you need now and then' },
  places: {
    log: {
      name: 'Log',
      isFor: 'Say what you did: filter cleaned, water changed, a bath, a new cover.',
    },
    handover: {
      name: 'Hand-over file',
      isFor: 'Some days in one file, for somebody who is to help.',
    },
  },
};

import type { HandoverScreenWords } from './handover-screen-words.ts';

/** What the screen that makes a hand-over file says, in English. */
export const enHandoverScreen: HandoverScreenWords = {
  headline: {
    sentence: 'Some days in one file, for somebody who helps you.',
    detail: 'They can read it without a network and without Sunsteep.',
  },
  around: (alert) => `These days lie around the newest alert: ${alert}`,
  days: 'Which days?',
  from: 'First day',
  to: 'Last day',
  wrong: {
    missing: 'Choose a first day and a last one.',
    order: 'The last day comes before the first.',
    future: 'The last day has not come yet.',
  },
  tooMany: (most) => `Choose at most ${most} days.`,
  download: 'Download the file',
  wait: 'A week of many sensors takes some seconds. Your phone shows how far it is.',
  holdsTitle: 'What is in it',
  holds: [
    'Every reading of these days, and some from before so that they can be worked out again.',
    'The days, the alerts with their figures, and the log with your remarks.',
    'The set-up of this tub, and where it stands: the sun is worked out from that.',
    'One page to read, with a chart.',
  ],
  notTitle: 'What is not in it',
  not: ['No password, and no address that notices go to.', 'No phone, and no other tub.'],
  trust: 'It tells when you bathe and when you are away. Give it to people whom you trust.',
  use: 'It is a ZIP file: open it, then open page.html in it.',
  viewer:
    'This phone may look and not hand over: the set-up is in the file. Ask whoever paired it.',
  unreachable: 'Your Sunsteep cannot be reached just now. The file can be made once it is back.',
};

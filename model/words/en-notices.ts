import type { NoticeWords } from './notice-words.ts';

/** What notices say, in English. */
export const enNotices: NoticeWords = {
  danger: (tub) => `Danger, ${tub}`,
  overAtCost: (over, energy) => `${over.replace(/\.$/, '')}; ${energy} of sun were lost.`,
  more: (count) => (count === 1 ? 'One more is in Alerts.' : `${count} more are in Alerts.`),
  test: { title: 'Sunsteep', text: 'This is a test: notices reach you here.' },
  since: (since) => `Since ${since}.`,
  until: (until) => `Over since ${until}.`,
  caution: (caution) => `Caution: ${caution}`,
  checks: 'What to check, in this order:',
  open: (url) => `More: ${url}`,
};

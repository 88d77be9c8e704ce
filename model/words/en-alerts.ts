import type { Severity } from '../shapes.ts';
import type { AlertScreenWords } from './alert-words.ts';

/** What the alerts' own screen says, in English. */

const counts = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'];
const count = (n: number) => counts[n] ?? String(n);
const things = (n: number) => `${count(n)} ${n === 1 ? 'thing' : 'things'}`;

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

const list = (parts: string[], word: string) =>
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} ${word} ${parts.at(-1)}`;

/** In the order in which one sees to them. */
const severities: readonly [Severity, told: (n: number) => string][] = [
  ['danger', (n) => `${count(n)} ${n === 1 ? 'danger' : 'dangers'} to see to first`],
  ['act', (n) => `${things(n)} to do today`],
  ['look', (n) => `${things(n)} to look at when you can`],
  ['note', (n) => `${things(n)} for your notes`],
];

export const enAlerts: AlertScreenWords = {
  nothing({ level, flow, power }) {
    const unseen = [
      'how clean the water is',
      level ? null : 'a small leak',
      flow ? null : 'how much water goes round',
      power ? null : 'what the pump draws',
    ].filter((part) => part !== null);
    return {
      sentence: 'Nothing is wrong that these sensors could show.',
      detail: `They cannot show ${list(unseen, 'or')}.`,
    };
  },
  standing(counts) {
    const [first = '', ...rest] = severities.flatMap(([severity, told]) =>
      counts[severity] === 0 ? [] : told(counts[severity]),
    );
    return {
      sentence: `${capital(first)}.`,
      detail: rest.length === 0 ? '' : `Beside that, ${list(rest, 'and')}.`,
    };
  },
  standsFor: ({ since, duration }) => `Since ${since}, for ${duration}.`,
  stood: ({ from, until, duration }) => `From ${from} until ${until}: it stood for ${duration}.`,
  known: (since) => `Somebody has known since ${since}.`,
  quiet: (until) => `Quiet until ${until}.`,
  lastKnown: ({ since, duration }) =>
    `What stands here is from ${since}: Sunsteep has not answered for ${duration}.`,
  ended: 'Over',
  stoodFor: (duration) => `stood for ${duration}`,
  endedFailed: 'Those that are over cannot be had just now.',
  notThere: { sentence: 'There is no such alert.', detail: '' },
  handOver: 'These days in one file, for somebody who helps',
  all: 'All alerts',
  checks: 'Check first, in this order',
  answers: {
    title: 'Your answer',
    seen: 'I have seen it',
    quietUntil: 'Quiet until…',
    tonight: (clock) => `Tonight, ${clock}`,
    tomorrow: (clock) => `Tomorrow, ${clock}`,
    week: (date) => `For a week, until ${date}`,
    date: 'Or until a date',
    untilDate: 'Quiet until that date',
    wrongDate: 'Choose a date from tomorrow on, within a year.',
    quietMeans: 'Nobody is told of it until then. It goes on standing here.',
    tellAgain: 'Tell me again',
    notAFault: 'Not a fault',
    why: 'Why is it none?',
    whyHint:
      'The reason goes into the log. The alert ends, and comes again only if what it saw was gone ' +
      'meanwhile.',
    whyMissing: 'Say in a few words why it is none.',
    endIt: 'End it: not a fault',
    viewer: 'This phone may look, but not answer. Ask whoever set Sunsteep up.',
    gone: 'Sunsteep does not know this alert any more.',
    unreachable:
      'Sunsteep did not answer: whether it arrived is not known. Try again when it is live.',
    failed: (why) => `That was refused: ${why}`,
  },
};

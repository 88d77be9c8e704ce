import type { LogWords } from './log-words.ts';

/** What the Log screen says, in English. */
export const enLog: LogWords = {
  none: {
    sentence: 'Nothing stands in the log yet.',
    detail: 'No sensor tells what you did. Say it here, and sums and warnings know of it.',
  },
  newest: ({ name, when, planned }) => ({
    sentence: planned ? `Planned: ${name}.` : `Last in the log: ${name}.`,
    detail: `${when}.`,
  }),
  failed: {
    sentence: 'The log cannot be had just now.',
    detail: 'It is asked for again as soon as Sunsteep answers.',
  },
  lastKnown: ({ since, duration }) =>
    `What stands here is from ${since}: Sunsteep has not answered for ${duration}.`,
  what: 'What did you do, or plan to?',
  viewer: 'This phone may look, but not write. Ask whoever set Sunsteep up.',
  form: {
    opens: {
      bathing: 'Bathing until…',
      away: 'Away from–to…',
      'sensor-moved': 'Sensor moved…',
      remark: 'Anything else…',
    },
    at: 'When',
    from: 'From',
    until: 'Until',
    untilHint: {
      bathing: 'Without an end two hours are taken for it.',
      away: 'It can stay empty until you know.',
    },
    point: 'Which sensor',
    anyPoint: 'several, or none of these',
    note: 'In your words',
    noteHint: 'It can stay empty.',
    words: 'What was done',
    enter: 'Enter it',
    entering: 'Entering…',
    wrong: {
      from: 'Say when that was: a date and a time.',
      until: 'The end needs a date and a time.',
      order: 'The end must come after the beginning.',
      ahead: 'That lies ahead. Enter it once it has been done.',
      far: 'That is more than a year ahead.',
      words: 'Say in a few words what was done.',
    },
  },
  entered: (name) => `Entered: ${name}.`,
  entries: 'In the log',
  when: ({ from, until }) => (until === null ? from : `${from} until ${until}`),
  planned: 'planned',
  flow: (flow) => `It told ${flow}.`,
  difference: (points, degrees) =>
    points === null
      ? `They were ${degrees} apart.`
      : `${points[0]} and ${points[1]} were ${degrees} apart.`,
  people: (count) => (count === 1 ? 'One person.' : `${count} people.`),
  litres: (volume) => `${volume} were changed.`,
  remove: 'Remove',
  removeNamed: (name, when) => `Remove: ${name}, ${when}`,
  removeSure: 'Remove this from the log?',
  removeMeans: 'What it changed of the past is then worked out again without it.',
  removeIt: 'Yes, remove it',
  keepIt: 'Keep it',
  removed: (name) => `Removed: ${name}.`,
  gone: 'That entry was no longer there.',
  unreachable:
    'Sunsteep did not answer: whether it arrived is not known. Try again when it is live; nothing is ' +
    'entered twice.',
  refused: (why) => `That was refused: ${why}`,
};

import type { TracesWords } from './traces-words.ts';

/** What the Traces screen says, in English. */

const list = (parts: string[]) =>
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;

/** A sentence that goes on after a colon. */
const small = (says: string) =>
  says.replace(/^(The|Do|A|Nothing|No|Water)\b/, (word) => word.toLowerCase());

const some = (count: number, one: string, several: string) =>
  count === 0 ? [] : [`${count} ${count === 1 ? one : several}`];

export const enTraces: TracesWords = {
  told: {
    alert: ({ says, since, until }) =>
      `${until === null ? `From ${since} on` : `From ${since} to ${until}`}: ${small(says)}`,
    stoodAlong: (says) => `All along: ${small(says)}`,
    otherAlerts: (count) =>
      `${count === 1 ? 'One more alert is' : `${count} more alerts are`} marked.`,
    went: ({ name, low, high }) => `${name}: between ${low} and ${high}.`,
    same: ({ name, value }) => `${name}: ${value} all along.`,
    changed: ({ name, off, on }) => `${name}: sometimes ${on}, sometimes ${off}.`,
    stayed: ({ name, value }) => `${name}: ${value} all along.`,
    rose: ({ name, by }) => `${name}: ${by} more.`,
    extremes: ({ lowAt, highAt }) => `Lowest ${lowAt}, highest ${highAt}.`,
    nothing: (span) => ({
      sentence: 'Nothing was heard of these lines.',
      detail: `${span} Choose another span or other lines.`,
    }),
    notYet: {
      sentence: 'That has not been yet.',
      detail: 'Choose an earlier span.',
    },
    noPoints: {
      sentence: 'No sensor has been heard yet.',
      detail: 'As soon as one speaks, its line can be seen here.',
    },
    failed: {
      sentence: 'These lines cannot be had just now.',
      detail: 'They are asked for again as soon as Sunsteep answers.',
    },
    loading: 'The lines are being fetched.',
    gaps: (spans, more) =>
      `Nothing was heard between ${list(spans.map(([from, to]) => `${from} and ${to}`))}` +
      `${more === 0 ? '' : `, and ${more} more ${more === 1 ? 'time' : 'times'}`}.`,
    gapOf: ({ name, from, to }) => `Not heard between ${from} and ${to}: ${name}.`,
    before: (since) => `Nothing was heard before ${since}.`,
    span: ({ from, to }) => (from === to ? `${from}.` : `${from} to ${to}.`),
    lastKnown: ({ since, duration }) =>
      `What stands here is from ${since}: Sunsteep has not answered for ${duration}.`,
  },
  chart: {
    title: 'What did the sensors tell?',
    kinds: {
      power: 'power',
      flow: 'flow',
      volume: 'water that went round',
      irradiance: 'sun',
      voltage: 'voltage',
      energy: 'energy',
    },
    line: ({ name, low, lowAt, high, highAt }) =>
      low === high
        ? `${name}: ${low} all along.`
        : `${name}: lowest ${low}, ${lowAt}; highest ${high}, ${highAt}.`,
    band: 'pale: from the lowest to the highest',
    night: 'night',
    loading: 'The lines are being fetched.',
  },
  read: {
    title: 'The time to read at',
    hint: 'Touch the chart to read it; two fingers zoom.',
    at: (moment) => `At ${moment}`,
    between: (from, to) => `From ${from} to ${to}`,
    on: (date) => `${date}, the whole day`,
    range: (low, high) => `${low} to ${high}`,
    atTimes: (on) => `${on} at times`,
    notHeard: 'not heard',
    value: ({ name, value }) => `${name} ${value}`,
  },
  marks: {
    title: (alerts, entries) =>
      `Marked: ${list([
        ...some(alerts, 'alert', 'alerts'),
        ...some(entries, 'entry of the log', 'entries of the log'),
      ])}`,
    alert: ({ says, since, until }) =>
      `${says} ${until === null ? `Since ${since}.` : `From ${since} to ${until}.`}`,
    entry: ({ name, from, until, note }) =>
      `${name}: ${until === null ? from : `${from} to ${until}`}.${note === null ? '' : ` ${note}`}`,
  },
  span: {
    title: 'How long',
    day: 'Day',
    '3-days': '3 days',
    week: 'Week',
    month: 'Month',
    year: 'Year',
    dates: 'Dates…',
    earlier: 'Earlier',
    later: 'Later',
    closer: 'Closer',
    wider: 'Wider',
    zoom: 'Where to look',
    first: 'From',
    last: 'To',
    show: 'Show these dates',
    wrong: 'Choose two dates in order, two years apart at most.',
  },
  lines: {
    choose: 'Which lines…',
    tub: 'Tub',
    collector: 'Collectors',
    pump: 'Pump',
    others: 'Others',
  },
  table: {
    title: 'The same as a table',
    from: 'From',
    low: 'Lowest',
    mean: 'Mean',
    high: 'Highest',
  },
  csv: {
    readings: (count) => `As CSV: ${count} readings`,
    buckets: ({ length }) => `As CSV: lowest, mean and highest of each ${length}`,
    fetching: 'Fetching the readings…',
    failed: 'The readings could not be fetched. Nothing was saved.',
    file: ({ tub, from, to }) => `${tub}-readings-${from}-to-${to}`,
  },
  start: {
    title: 'What the sensors told around its start',
    since: 'its start',
    failed: 'The chart of its start cannot be had just now.',
    nothing: 'Nothing of these sensors was heard around its start.',
    more: 'More of these lines',
  },
};

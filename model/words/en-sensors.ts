import type { SensorsWords } from './sensors-words.ts';

const counts = ['None', 'One', 'Two', 'Three', 'Four', 'Five', 'Six', 'Seven', 'Eight', 'Nine'];
const count = (n: number) => counts[n] ?? `${n}`;
const isAre = (n: number) => (n === 1 ? 'is' : 'are');

const unitNames: Record<string, string> = {
  degF: '°F',
  m3: 'm³',
  'm3/s': 'm³/s',
  'm3/h': 'm³/h',
};
const unitName = (unit: string) => unitNames[unit] ?? unit;

export const enSensors: SensorsWords = {
  headline: ({ heard, found }) => ({
    sentence: 'Set-up: sensors heard',
    detail: `${count(heard)} ${isAre(heard)} placed${found > 0 ? `, ${count(found).toLowerCase()} ${isAre(found)} new` : ''}. Warm a sensor in your hand to see which it is.`,
  }),
  nothing: {
    sentence: 'Set-up: no sensor is heard yet',
    detail: 'As soon as a board speaks, what it sends appears here.',
  },
  failed: 'What boards send cannot be asked for just now. It is tried again.',
  viewer: {
    sentence: 'This phone may look, but not change the set-up.',
    detail: 'Somebody with full rights can give it more, under Phones.',
  },
  heard: 'What is heard',
  earlier: 'from before; when is not known',
  changesMost: (change) => `changing most: ${change} in the last half minute`,
  corrected: ({ by, on }) => `corrected by ${by}${on === null ? '' : `, cup check ${on}`}`,
  pumpMeans: {
    turning: 'on means: it turns',
    powered: 'on means: it has power',
    asked: 'on means: the controller asks for it',
    none: 'not used: whether the pump runs is told by other sensors',
  },
  change: 'change',
  found: 'What else boards send',
  isNew: 'New',
  guessed: {
    name: (name) => `By its name, perhaps: ${name}.`,
    'near-tub': (name) => `As warm as the tub. Perhaps: ${name}.`,
    'near-collector': (name) => `Nearly as hot as the collectors. Perhaps: ${name}.`,
    'like-a-tub': (name) => `As warm as a tub is. Perhaps: ${name}.`,
    hot: (name) => `Hotter than a tub ever is. Perhaps: ${name}.`,
    mild: (name) => `Cooler than a tub. Perhaps: ${name}.`,
    'only-rises': (name) => `It only rises, as a counter does. Perhaps: ${name}.`,
    strong: (name) => `As much as a heater draws. Perhaps: ${name}.`,
    weak: (name) => `As little as a small pump draws. Perhaps: ${name}.`,
  },
  sentAs: (value, unit) => `Sent as ${value} ${unitName(unit)}.`,
  unitName,
  somethingElse: 'Something else',
  notMine: 'Not for the tub',
  others: (n) => `${n === 1 ? 'One other number' : `${n} other numbers`} that boards send`,
  placeMissing: 'Before heat can be worked out, say where the tub stands.',
  toPlace: 'Next: where it stands',
  listening: (until) => `Every message is heard until ${until}.`,
  notListening: 'Other messages are not listened to just now.',
  listenAgain: 'Listen for ten minutes',
  form: {
    what: 'What does it measure?',
    choose: 'Choose…',
    chooseFirst: 'Choose what it measures.',
    unit: 'In what unit is it sent?',
    reads: (value) => `So it reads ${value} now.`,
    tub: 'A short name for the tub',
    tubHint: 'Small letters, digits and dashes. You can give it a proper name later.',
    wire: 'Use it',
    wiring: 'Taking it in…',
    wrongTub: 'Small letters, digits and dashes, up to 32 of them.',
  },
  wired: (name) => `${name} is taken in. Its value appears with the next message.`,
  unwired: (name) => `${name} is no longer taken from there.`,
  unreachable:
    'Sunsteep did not answer: whether it arrived is not known. Try again when it is live.',
  refused: (detail) => `That was not taken: ${detail}`,
  wiredByHand: 'Taken from other topics',
  unwire: 'Take it no longer',
  unwireSure: 'Yes, take it no longer',
  keepIt: 'Keep it',
  unread: {
    title: 'Could not be read',
    told: ({ kinds, times }) =>
      `${kinds} ${kinds === 1 ? 'kind' : 'kinds'} of message, ${times} ${times === 1 ? 'time' : 'times'} in all.`,
    why: (why) => `Why: ${why}.`,
    times: (n, when) => `${n === 1 ? 'Once' : `${n} times`}, last ${when}.`,
    perhaps: (topic) => `Perhaps it should be sent to ${topic}.`,
  },
};

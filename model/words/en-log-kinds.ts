import type { LogKindWords } from './log-words.ts';

/** What kinds of entries in the owner's log are called, and what they change, in English. */
export const enLogKinds: LogKindWords = {
  name: {
    'filter-cleaned': 'Filter cleaned',
    'water-changed': 'Water changed',
    bathing: 'Bathing',
    away: 'Away',
    drained: 'Drained',
    'in-use': 'In use again',
    'cover-changed': 'New cover',
    'sensor-moved': 'Sensor moved',
    'bucket-test': 'Bucket test',
    'cup-check': 'Cup check',
    'flow-confirmed': 'Flow at rest confirmed',
    'not-a-fault': 'Not a fault',
    remark: 'Remark',
  },
  changes: {
    'filter-cleaned': 'Flow from before is not held against flow after it.',
    'water-changed':
      'For three hours around it the water’s temperature tells nothing of losses and heat.',
    bathing:
      'Meanwhile the water’s temperature tells nothing of losses and heat. What is foretold of the ' +
      'evening reckons with one that is still to come.',
    away: 'A tub that stays cold meanwhile is no fault. No sum changes.',
    drained: 'Nothing is estimated or learned until it is in use again; only sensors are watched.',
    'in-use': 'From then on heat and losses are worked out again.',
    'cover-changed': 'How much the tub loses is learned anew from then on.',
    'sensor-moved': 'What it showed before is no longer held against it.',
    'bucket-test': 'Heat is worked out with this flow from then on.',
    'cup-check': 'It stands here for comparison; corrections are made in the set-up.',
    'flow-confirmed': 'Water that goes round while the pump rests counts as heat.',
    'not-a-fault': 'That alert ended with this reason.',
    remark: 'It changes nothing; it stands here and on the month’s sheet.',
  },
};

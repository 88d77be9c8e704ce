import { type AllFaultWords, figure, type ToldFault } from '../fault-words.ts';
import type { Speaker } from '../speaker.ts';

const ROOF =
  'Take no risk on a roof: a ladder needs a second person, and hot collectors burn. Keep to low voltage; ' +
  'what hangs on the mains is an electrician’s.';

const impossibleValues = (told: ToldFault, say: Speaker): string =>
  `It told ${say.temperature(figure(told, 'valueC') ?? 0)}, ` +
  `${say.number(figure(told, 'readings') ?? 0, 0)} times in a row.`;

function frozenValue(told: ToldFault, say: Speaker): string {
  const { valueC, lPerMin, wPerM2 } = told.evidence;
  if (typeof valueC === 'number') return say.temperature(valueC, 2);
  if (typeof lPerMin === 'number') return say.flow(lPerMin);
  return `${say.number(typeof wPerM2 === 'number' ? wPerM2 : 0, 0)} W/m²`;
}

export const sensorsWords: Pick<
  AllFaultWords,
  | 'sensor-open'
  | 'sensor-short'
  | 'power-on-value'
  | 'frozen-reading'
  | 'jumping-reading'
  | 'tub-sensor-out-of-water'
  | 'to-and-from-swapped'
  | 'collector-sensor-loose'
  | 'pair-offset'
  | 'outdoor-sensor-in-sun'
  | 'irradiance-sensor-dirty'
  | 'controller-disagrees'
> = {
  'sensor-open': {
    says: (told) => `The sensor "${told.point}" tells impossible cold: its wire may be broken.`,
    first: 'Look at its plug and its cable.',
    shows: impossibleValues,
    checks: [
      'Push its plug home and look at the joints along the cable.',
      'Follow the cable: animals, hinges and the edge of the cover cut it.',
      'With the sensor unplugged at the board, measure its resistance there and compare it with the maker’s table.',
      'After a thunderstorm, change the sensor; and have the frame of the collectors earthed.',
    ],
    caution: ROOF,
    over: 'The sensor tells possible values again.',
  },
  'sensor-short': {
    says: (told) => `The sensor "${told.point}" tells impossible heat: its wires may touch.`,
    first: 'Look for water in its plug and joints.',
    shows: impossibleValues,
    checks: [
      'Open the joint, dry it, and look for wires that touch.',
      'Follow the cable for a place where it is squeezed or worn.',
      'With the sensor unplugged at the board, measure its resistance there and compare it with the maker’s table.',
      'If a digital sensor is meant, measure its supply while it works.',
    ],
    caution: ROOF,
    over: 'The sensor tells possible values again.',
  },
  'power-on-value': {
    says: (told) => `The sensor "${told.point}" starts anew again and again.`,
    first: 'Look at the supply of its board.',
    shows: (told, say) =>
      `It told the value with which it wakes up ${say.number(figure(told, 'timesInADay') ?? 0, 0)} ` +
      'times in a day; those are left out.',
    checks: [
      'Measure the supply at the sensor, not at the board.',
      'Look at the resistor between its data wire and its supply, and at how long the cable is.',
      'See that the board waits for the measurement to be done before it asks for it.',
    ],
    over: 'The sensor has stayed awake for a day.',
  },
  'frozen-reading': {
    says: (told) => `The reading "${told.point}" stands still though it should move.`,
    first: 'Start its board anew.',
    shows: (told, say) =>
      `It has told ${frozenValue(told, say)} for ${say.number(figure(told, 'hours') ?? 0, 1)} hours, ` +
      `${say.number(figure(told, 'readings') ?? 0, 0)} times without the smallest change.`,
    checks: [
      'Take the board’s low-voltage supply out for ten seconds and put it in again.',
      'Look whether something between sensor and broker repeats an old message.',
      'Warm the sensor in your hand, if it is in reach: the figure has to move.',
      'If it does not, change the sensor.',
    ],
    over: 'The reading moves again.',
  },
  'jumping-reading': {
    says: (told) => `The sensor "${told.point}" jumps up and down.`,
    first: 'Look for a loose or wet joint.',
    shows: (told, say) =>
      `Within an hour it jumped ${say.number(figure(told, 'jumpsInAnHour') ?? 0, 0)} times ` +
      'farther than water can, and came back.',
    checks: [
      'Pull gently at each joint and plug while somebody watches the figure.',
      'Dry and seal joints that are wet.',
      'Keep its cable away from those of the pump and of the mains.',
      'If the cable is long, shorten it or take a screened one.',
    ],
    over: 'The sensor has been calm for hours.',
  },
  'tub-sensor-out-of-water': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'to-and-from-swapped': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'collector-sensor-loose': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'pair-offset': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'outdoor-sensor-in-sun': {
    says: () => 'The sun shines on the sensor for the outdoor air.',
    first: 'Move it into full shade.',
    shows: (told, say) =>
      `On ${say.number(figure(told, 'days') ?? 0, 0)} days it moved by about ` +
      `${say.number(say.difference(figure(told, 'stepK') ?? 0), 0)} degrees within half an hour when ` +
      'the sun stood at the same place, and back again.',
    checks: [
      'Shade it from all sides, also from light off a wall or the ground.',
      'Put it on the side of the house that looks away from the noon sun.',
      'Keep it away from the tub’s steam and from a heat pump’s air.',
      'Until then losses and expected heat of those hours are estimates.',
    ],
    over: 'The sensor for the outdoor air stays in the shade.',
  },
  'irradiance-sensor-dirty': {
    says: () =>
      'The light sensor on the collectors sees less than it did: it may be dirty or crooked.',
    first: 'Wipe it.',
    shows: (told, say) =>
      `In clear hours it tells ${say.percent(figure(told, 'lightShare') ?? 0)} of what it used to, ` +
      `while the loop brings ${say.percent(figure(told, 'heatShare') ?? 0)} of the heat.`,
    checks: [
      'Wipe it with water and a soft cloth.',
      'See that it lies in the plane of the collectors and that nothing has knocked it.',
      'Look whether something new shades it alone.',
      'Say in the log that it was cleaned or moved, so that it is judged anew.',
    ],
    caution: ROOF,
    over: 'The light sensor sees what it used to.',
  },
  'controller-disagrees': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
};

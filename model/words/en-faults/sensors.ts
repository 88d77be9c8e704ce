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

/** Some figures of the evidence, by their names. */
const figures = <Name extends string>(told: ToldFault, ...names: Name[]) =>
  Object.fromEntries(names.map((name) => [name, figure(told, name)])) as Record<
    Name,
    number | null
  >;

const celsius = (value: number | null, say: Speaker): string =>
  value === null ? 'nothing' : say.temperature(value);

/** How large a difference is, whatever its sign. */
const size = (deltaK: number, say: Speaker): string =>
  `${say.number(say.difference(Math.abs(deltaK)), 1)} degrees`;

const whichPipe = ({ evidence }: ToldFault): string =>
  evidence.sensor === 'collector/inlet' ? 'from the tub' : 'to the tub';

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
    says: (told) =>
      (figure(told, 'together') ?? 1) > 1
        ? 'All readings of a board stand still though they should move.'
        : `The reading "${told.point}" stands still though it should move.`,
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
    says: () => 'The tub’s thermometer seems to hang in the air instead of the water.',
    first: 'Look where the sensor is before anybody bathes.',
    shows(told, say) {
      const { tubC, beforeC, airC, fromTubC } = figures(
        told,
        'tubC',
        'beforeC',
        'airC',
        'fromTubC',
      );
      const parts = [`It reads ${celsius(tubC, say)}`];
      if (beforeC !== null) parts.push(`before that it read ${celsius(beforeC, say)}`);
      if (fromTubC !== null) parts.push(`the water from the tub has ${celsius(fromTubC, say)}`);
      else if (airC !== null) parts.push(`the air has ${celsius(airC, say)}`);
      return `${parts.join('; ')}.`;
    },
    checks: [
      'Is the sensor still in its place, under water?',
      'Does the cover catch its cable and lift it when it is opened?',
      'Does it hang deeper than the lowest water there ever is in the tub?',
      'If the controller or the backup heats by this same sensor, switch that heat off at its own control until the sensor is back.',
    ],
    caution:
      'A heater that goes by a sensor in the air does not know when to stop. Measure the water with a separate thermometer before anybody gets in; an independent limit thermostat stays necessary.',
    over: 'The tub’s thermometer is in the water again.',
  },
  'to-and-from-swapped': {
    says: ({ evidence }) =>
      evidence.swapped === 'tub'
        ? 'The thermometers of tub and collectors seem to have each other’s name.'
        : 'The thermometers of the water to and from the tub seem to have each other’s name.',
    first: 'Exchange the two names in the settings.',
    shows(told, say) {
      if (told.evidence.swapped === 'tub') {
        const { tubC, collectorC } = figures(told, 'tubC', 'collectorC');
        return `What is called tub reads ${celsius(tubC, say)} and moves like collectors, what is called collectors reads ${celsius(collectorC, say)} and moves like a tub.`;
      }
      const { toC, fromC } = figures(told, 'toC', 'fromC');
      return `With hot collectors the water to the tub reads ${celsius(toC, say)}, colder than the ${celsius(fromC, say)} of the water from it.`;
    },
    checks: [
      'Warm one of the two sensors in your hand: does the right name rise?',
      'Exchange their names in the settings, and say from which date on that holds, so that past heat is worked out anew.',
      'If the names are right, are the sensors on the right pipes?',
    ],
    over: 'The thermometers have their right names again.',
  },
  'collector-sensor-loose': {
    says: () => 'The collectors’ thermometer seems to have slipped off its place.',
    first: 'Have its seat looked at in the evening.',
    shows(told, say) {
      const { aboveTubK, largestFallK, highestC } = figures(
        told,
        'aboveTubK',
        'largestFallK',
        'highestC',
      );
      const stands =
        aboveTubK !== null && aboveTubK < 0
          ? `${size(aboveTubK, say)} below the tub`
          : `only ${size(aboveTubK ?? 0, say)} above the tub`;
      return `While the pump ran it stood ${stands} and got no hotter than ${celsius(highestC, say)}; after a start it fell by ${size(largestFallK ?? 0, say)} at most.`;
    },
    checks: [
      'Is it in its pocket as deep as it goes, with paste around it?',
      'Does its clip or strap hold, and is the insulation over it whole?',
      'Does it sit at the hot outlet of the last collector?',
    ],
    caution:
      'Collectors and pipes can be scalding hot: wait for evening. Work on a roof only with a safe stand and somebody near, or leave it to people who are trained for it.',
    over: 'The collectors’ thermometer feels the collectors again.',
  },
  'pair-offset': {
    says: (told) =>
      `The thermometer of the water ${whichPipe(told)} has come to read ${(figure(told, 'readsHighK') ?? 0) > 0 ? 'high' : 'low'}.`,
    first: 'Compare both thermometers in one cup of water.',
    shows(told, say) {
      const byK = figure(told, 'readsHighK') ?? 0;
      const correctionK = figure(told, 'correctionK') ?? 0;
      const sign = correctionK < 0 ? '−' : '+';
      return `On three days it read ${size(byK, say)} too ${byK > 0 ? 'much' : 'little'} beside what it used to; a correction of ${sign}${size(correctionK, say)} would make up for it.`;
    },
    checks: [
      'Put both thermometers into one cup of warm water and compare what they read after ten minutes.',
      'If they differ, enter the correction in the settings; nothing is corrected by itself.',
      'Are sensors that are strapped to a pipe well insulated, to both sides too?',
      'Does the sun shine on one of them?',
    ],
    over: 'The two thermometers of the loop agree with each other as before.',
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
    says: () =>
      'The controller starts or stops the pump by other temperatures than those heard here.',
    first: 'Read the controller’s display and this page at the same moment.',
    shows(told, say) {
      const { events, differenceK, startsAtK, switchOnK, switchOffK } = figures(
        told,
        'events',
        'differenceK',
        'startsAtK',
        'switchOnK',
        'switchOffK',
      );
      if (told.evidence.kind === 'both')
        return `The pump starts with the collectors ${size(startsAtK ?? 0, say)} above the tub and stops at ${size(differenceK ?? 0, say)}; in the settings these are ${size(switchOnK ?? 0, say)} and ${size(switchOffK ?? 0, say)}.`;
      const what = told.evidence.kind === 'start' ? 'started' : 'stopped';
      const side = (differenceK ?? 0) < 0 ? 'below' : 'above';
      return `That happened ${say.number(events ?? 0, 0)} times in a week; at the last the pump ${what} with the collectors ${size(differenceK ?? 0, say)} ${side} the tub.`;
    },
    checks: [
      'Read both of the controller’s temperatures and those here at the same moment: which one differs?',
      'Move the sensors that differ next to each other, or pair them in one pocket.',
      'Enter the controller’s own switching differences in the settings.',
    ],
    over: 'The controller and the thermometers heard here agree again.',
  },
};

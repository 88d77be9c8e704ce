import { type AllFaultWords, degrees, figure, type ToldFault } from '../fault-words.ts';
import type { Speaker } from '../speaker.ts';

const STEAM =
  'Collectors in the sun without flow can boil: steam and scalding water come first when it flows again. Leave them until the evening, and open nothing before.';
const LOW_VOLTAGE =
  'Switch the pump off before you touch it. Whatever runs on mains is for a licensed electrician.';

/** A figure as it is said, or words that allow for its absence. */
const said = (
  told: ToldFault,
  name: string,
  as: (value: number) => string,
  unknown = 'an unknown figure',
): string => {
  const value = figure(told, name);
  return value === null ? unknown : as(value);
};
const flow = (told: ToldFault, name: string, say: Speaker) =>
  said(told, name, (value) => say.flow(value));
const power = (told: ToldFault, name: string, say: Speaker) =>
  said(told, name, (value) => say.power(value));
const warmth = (told: ToldFault, name: string, say: Speaker) =>
  said(told, name, (value) => say.temperature(value, 0));
const minutes = (told: ToldFault, name: string) =>
  said(told, name, (value) => `${Math.round(value)} minutes`, 'a while');

export const pumpWords: Pick<
  AllFaultWords,
  | 'pump-power-high'
  | 'pump-power-low'
  | 'pump-not-running'
  | 'running-without-flow'
  | 'collector-stagnating'
  | 'pump-on-at-night'
  | 'flow-sensor-at-zero'
  | 'flow-while-off'
  | 'flow-too-high'
  | 'flow-falling'
  | 'flow-sensor-drifting'
  | 'short-cycling'
  | 'late-start'
> = {
  'pump-power-high': {
    says: ({ evidence }) =>
      evidence.kind === 'powerless'
        ? 'The pump is asked to run and takes no power.'
        : 'The pump labours: something holds it.',
    first: 'Unplug it and free it.',
    shows: (told, say) => {
      const { kind } = told.evidence;
      if (kind === 'powerless') return 'It is asked to run, and takes next to nothing.';
      if (kind === 'pulses')
        return 'It takes power in short pulses, as a pump that tries again and again.';
      return `It takes ${power(told, 'watts', say)}; ${power(told, 'usualWatts', say)} is usual.`;
    },
    checks: [
      'Unplug it, and let it cool.',
      'Take its head off or look into its inlet: a leaf, grit or scale in the wheel?',
      'Does the wheel turn freely by hand, without rubbing?',
      'If it takes no power at all: its plug, its fuse, its wire.',
      'Is the supply the one that it is made for?',
    ],
    caution: `A pump that is held still gets hot: do not leave it plugged in and unattended. ${LOW_VOLTAGE}`,
    over: 'The pump takes its usual power again.',
  },
  'pump-power-low': {
    says: ({ evidence }) =>
      evidence.withoutFlow === true
        ? 'The pump runs without water.'
        : 'The pump takes much less power than it did.',
    first: 'Switch it off, and look at the water’s way.',
    shows: (told, say) =>
      `It takes ${power(told, 'watts', say)}; ${power(told, 'usualWatts', say)} is usual` +
      (figure(told, 'lPerMin') === null
        ? '.'
        : `. The flow is ${flow(told, 'lPerMin', say)}; ${flow(told, 'usualLPerMin', say)} is usual.`),
    checks: [
      'Is the tub’s water above the inlet of the loop?',
      'Are all valves of the loop open?',
      'Is there air in the pump: does it gurgle? Fill it and let the air out.',
      'Is the strainer or the filter clogged?',
      'What is the voltage at the pump while it runs?',
    ],
    caution: `A pump that runs dry is ruined within hours. ${LOW_VOLTAGE} ${STEAM}`,
    over: 'The pump takes its usual power again.',
  },
  'pump-not-running': {
    says: () => 'The pump is not turning though the sun is out.',
    first: 'Check its plug and fuse.',
    shows: (told, say) =>
      `The collectors were ${degrees(told, 'differenceK', say)} hotter than the water, at ${warmth(told, 'collectorC', say)}, ` +
      `and the pump stood still; it should start at ${degrees(told, 'switchOnK', say)}.`,
    checks: [
      'What does the controller’s display say: does it ask for the pump?',
      'If it asks: is there voltage at the pump’s plug?',
      'Its fuse, its plug, its wires.',
      'With the plug out: can the wheel be turned, does a tap free it?',
      'If it does not ask: does the controller’s own collector sensor read what the collectors are?',
    ],
    caution: `${STEAM} ${LOW_VOLTAGE}`,
    over: 'The pump turns again.',
  },
  'running-without-flow': {
    says: () => 'The pump runs, but no water goes round.',
    first: 'Switch it off, then look for air and shut valves.',
    shows: (told, say) =>
      `After ${minutes(told, 'runsMinutes')} of running the collectors were at ${warmth(told, 'collectorC', say)}, ` +
      `${degrees(told, 'differenceK', say)} above the water; full sun makes ${degrees(told, 'fullSunK', say)}.`,
    checks: [
      'Does water come back into the tub: can you see or feel it at the inlet?',
      'Is the tub’s water above the suction?',
      'Are all valves open?',
      'Is the strainer or the filter clogged?',
      'Is there air at the highest point? Let it out in the evening, and fill the pump.',
      'What does the pump sound like: gurgling is air, humming is a wheel that is stuck.',
    ],
    caution: `A pump that runs dry is ruined within hours. ${STEAM}`,
    over: 'Water goes round again.',
  },
  'collector-stagnating': {
    says: ({ evidence }) =>
      evidence.onPurpose === true
        ? 'The collectors stand hot on purpose, the tub being warm enough.'
        : 'The collectors stand hot in the sun, and no water cools them.',
    first: 'Leave them alone until the evening.',
    shows: (told, say) =>
      `The collectors were at ${warmth(told, 'collectorC', say)} with no water going through them.`,
    checks: [
      'Is the tub at its limit? Then the controller rests the pump on purpose.',
      'If not: does the pump run, and does water come back to the tub?',
      'In the evening: is the pipe next to the collectors sound? Plastic softens in such heat.',
    ],
    caution: STEAM,
    over: 'The collectors are no longer standing hot.',
  },
  'pump-on-at-night': {
    says: () => 'The pump runs in the dark and cools the tub.',
    first: 'Switch it off by hand.',
    shows: (told, say) =>
      `It has run for ${minutes(told, 'runsMinutes')} in the dark, with the water at ${warmth(told, 'tubC', say)} ` +
      `and the collectors at ${warmth(told, 'collectorC', say)}.`,
    checks: [
      'Is the controller switched to hand, or to always on?',
      'Does the controller’s collector sensor read hot though it is night?',
      'Does the pump stop when the controller does not ask for it? If not, its relay sticks: unplug the pump.',
    ],
    caution: LOW_VOLTAGE,
    over: 'The pump rests at night again.',
  },
  'flow-sensor-at-zero': {
    says: (told) =>
      figure(told, 'multipliedBy') === null
        ? 'The flow meter stands still though water moves.'
        : 'The flow meter reads about sixty times too little.',
    first: 'Look at the meter and its plug.',
    shows: (told, say) =>
      `It reads ${flow(told, 'lPerMin', say)}; ${flow(told, 'usualLPerMin', say)} is usual, and the heat of the collectors arrives at the tub.`,
    checks: [
      'If it reads sixty times too little: pulses for each litre were taken for pulses a second, or the other way round. Correct the factor in the set-up.',
      'Its plug and its cable.',
      'Does its wheel turn freely? Grit or fibres hold it.',
      'Does its arrow point along the flow?',
    ],
    over: 'The flow meter counts again.',
  },
  'flow-while-off': {
    says: () => 'The flow meter tells of flow while the pump rests.',
    first: 'See whether water really moves.',
    shows: (told, say) =>
      `It reads ${flow(told, 'lPerMin', say)} with the pump off; ${flow(told, 'usualLPerMin', say)} is usual while it runs.`,
    checks: [
      'Is it the last figure of the last run, told over and over? Then the board repeats an old value.',
      'Does water come out at the inlet? Then it flows by itself, or the filter pump drives it: look at the check valve.',
      'Does its cable lie beside that of the pump or the heater?',
      'If the flow is real, say so in the log: then its heat counts.',
    ],
    over: 'The flow meter rests with the pump again.',
  },
  'flow-too-high': {
    says: (told) =>
      figure(told, 'dividedBy') === null
        ? 'The flow meter reads more than the pump can move.'
        : 'The flow meter reads about sixty times too much.',
    first: 'Check the meter’s pulses for each litre.',
    shows: (told, say) =>
      `It reads ${flow(told, 'lPerMin', say)}; ${flow(told, 'usualLPerMin', say)} is to be expected.`,
    checks: [
      'If it reads sixty times too much: pulses for each litre were taken for pulses a second, or the other way round. Correct the factor in the set-up.',
      'Is the number of pulses for each litre the one of this meter?',
      'Does its cable lie beside that of the pump or the heater?',
      'Are there bubbles in the water, or does the filter pump push through the same pipe?',
      'Time a bucket three times and compare.',
    ],
    over: 'The flow meter reads what can be again.',
  },
  'flow-falling': {
    says: (told, say) =>
      figure(told, 'share') === null
        ? 'Less water seems to go round than did at first.'
        : `Only ${say.percent(figure(told, 'share')!)} of the usual water goes round.`,
    first: 'Clean the filter and the strainer.',
    shows: (told, say) =>
      figure(told, 'share') === null
        ? `The collectors run ${degrees(told, 'differenceK', say)} above the water; ${degrees(told, 'usualDifferenceK', say)} was usual.`
        : `The flow was ${flow(told, 'lPerMin', say)}; ${flow(told, 'usualLPerMin', say)} was usual.`,
    checks: [
      'Clean the filter and the strainer at the suction, and say so in the log.',
      'Is a hose kinked, or pressed flat?',
      'Is there scale in the first bend behind the collectors?',
      'Does the pump still sound as it did? It wears too.',
    ],
    caution: 'Switch the pump off before you open the filter.',
    over: 'As much water goes round as usual.',
  },
  'flow-sensor-drifting': {
    says: (told) =>
      (figure(told, 'share') ?? 1) < 1
        ? 'The flow meter reads less than the water that moves.'
        : 'The flow meter reads more than the water that moves.',
    first: 'Time a bucket three times.',
    shows: (told, say) =>
      `By the warmth that the tub gained, it reads ${say.percent(figure(told, 'share') ?? 1)} of what it did at first.`,
    checks: [
      'Time a bucket three times, with the bucket test of the set-up, and compare.',
      'Clean the wheel of the meter and the strainer before it.',
      'Has its factor been changed?',
      `If the bucket agrees with the tub, correct the meter in the set-up from the day on which it began.`,
    ],
    over: 'The flow meter agrees with the tub again.',
  },
  'short-cycling': {
    says: () => 'The pump starts and stops all the time.',
    first: 'Set the switch differences further apart.',
    shows: (told, say) =>
      `It started up to ${said(told, 'startsInAnHour', (value) => say.number(value, 0))} times in an hour; ` +
      `its runs lasted ${said(told, 'medianRunMinutes', (value) => `${say.number(value, 0)} minutes`, 'moments')} on average.`,
    checks: [
      'Let the controller start the pump at a greater difference.',
      'Is the flow greater than it need be? Less flow makes longer runs.',
      'Does the collector sensor sit at the hot outlet? At the inlet it cools the moment the pump starts.',
      'Has it good contact with the pipe?',
    ],
    over: 'The pump runs steadily again.',
  },
  'late-start': {
    says: () => 'The pump starts later than the sun would allow.',
    first: 'Look at the switch-on difference.',
    shows: (told, say) =>
      `On ${said(told, 'days', (value) => say.number(value, 0))} days it waited ${minutes(told, 'minutesADay')} a day with warm collectors; ` +
      `it should start at ${degrees(told, 'switchOnK', say)}.`,
    checks: [
      'Which switch-on difference is set in the controller? Compare it with the one in the set-up.',
      'Has the collector sensor good contact with the pipe? A loose one lags.',
      'Does it sit at the outlet of the last collector?',
    ],
    over: 'The pump starts in time again.',
  },
};

import { type AllFaultWords, count, degrees, figure, type ToldFault } from '../fault-words.ts';
import type { Speaker } from '../speaker.ts';

const tub = (told: ToldFault, say: Speaker, name = 'tubC'): string => {
  const tubC = figure(told, name);
  return tubC === null ? 'an unknown temperature' : say.temperature(tubC);
};

/** `2 hours`, `90 minutes` */
function lasting(told: ToldFault, name: string, say: Speaker): string {
  const minutes = figure(told, name) ?? 0;
  return minutes < 120
    ? `${say.number(minutes, 0)} minutes`
    : `${say.number(minutes / 60, 1)} hours`;
}

const HOT_WATER =
  'Water above 40 °C (104 °F) can make people faint and drown, children and pregnant women first. ' +
  'This program is no safety device: a tub needs a limit of its own that works without it.';
const MAINS =
  'Mains and water together kill: switch the supply off and secure it first. What is behind a screw ' +
  'is for a licensed electrician, by the maker’s instructions and the local code.';

type Sign = 'heats-nothing' | 'never-stops' | 'no-power';

const backupSigns: Record<Sign, (told: ToldFault, say: Speaker) => string> = {
  'heats-nothing': (told, say) =>
    `In ${lasting(told, 'minutes', say)} it took ${say.energy(figure(told, 'backupKwh') ?? 0)}; ` +
    `that should warm the water by ${degrees(told, 'expectedRiseK', say)}, and it moved by ${degrees(told, 'riseK', say)}.`,
  'never-stops': (told, say) =>
    `It has taken ${say.power(figure(told, 'backupW') ?? 0)} for ${lasting(told, 'minutes', say)} with the tub at ` +
    `${tub(told, say)}; wanted are ${tub(told, say, 'wantedC')}.`,
  'no-power': (told, say) =>
    `The tub has been at ${tub(told, say)} for ${lasting(told, 'minutes', say)}, wanted are ${tub(told, say, 'wantedC')}, ` +
    'and the backup takes no power though it is within its hours.',
};

const signOf = ({ evidence }: ToldFault): Sign =>
  evidence.sign === 'never-stops' || evidence.sign === 'no-power' ? evidence.sign : 'heats-nothing';

export const waterWords: Pick<
  AllFaultWords,
  | 'water-too-hot'
  | 'tub-overheated-by-sun'
  | 'hot-water-to-tub'
  | 'freeze-danger'
  | 'cover-left-off'
  | 'tub-loss-grown'
  | 'backup-without-warming'
  | 'backup-fights-sun'
  | 'water-level-falling'
> = {
  'water-too-hot': {
    says: (told, say) => `The tub is too hot to bathe in: ${tub(told, say)}.`,
    first: 'Let nobody in.',
    shows: (told, say) =>
      `The water was at ${tub(told, say)} when this was told. ` +
      (told.evidence.pumpOn === true
        ? 'The solar pump was running.'
        : (figure(told, 'backupW') ?? 0) > 60
          ? `The backup was taking ${say.power(figure(told, 'backupW')!)}.`
          : told.evidence.pumpOn === false
            ? 'The solar pump was at rest.'
            : 'Whether the solar pump ran is not known.'),
    checks: [
      'Let nobody in, and tell everybody who might go.',
      'Stir the water and measure it with a thermometer of its own.',
      'Turn the backup off at its own control.',
      'Switch the solar pump off at its switch. The collectors may boil then: leave them alone until the evening.',
      'Lift the cover to let heat out, with an adult staying beside the open tub.',
      'See what heated last: how much energy the backup took, how long the pump ran.',
      'Before the next bath, find out whether the temperature limit works.',
    ],
    caution: HOT_WATER,
    over: 'The tub has been cool enough to bathe in again, all of its water.',
  },
  'tub-overheated-by-sun': {
    says: (told, say) => `The sun heats the tub past its limit: ${tub(told, say)}.`,
    first: 'Look whether the solar pump still runs.',
    shows: (told, say) =>
      told.evidence.pumpOn === true
        ? `The tub was at ${tub(told, say)}, its limit is ${tub(told, say, 'limitC')}, and the pump went on with collectors ${degrees(told, 'differenceK', say)} warmer.`
        : `With pump and backup at rest the tub, at ${tub(told, say)}, grew warmer by ${degrees(told, 'kPerH', say)} an hour; its limit is ${tub(told, say, 'limitC')}.`,
    checks: [
      'Does the solar pump run although the tub is past the limit? Then the limit, or its sensor, does not work.',
      'Shade the tub’s cover; shade the collectors in the evening.',
      'Cut the hours of the filter pump: its waste heat warms the water too.',
      'Set the limit lower.',
      'Let some of the water out and fill up with cold.',
    ],
    caution: `${HOT_WATER} Never touch collectors that are hotter than 60 °C (140 °F) to cover them.`,
    over: 'The tub is back at its limit.',
  },
  'hot-water-to-tub': {
    says: (told, say) => `Scalding water runs into the tub: ${tub(told, say, 'outletC')}.`,
    first: 'Keep everybody away from where it comes in.',
    shows: (told, say) =>
      `It came in at ${tub(told, say, 'outletC')}` +
      (figure(told, 'lPerMin') === null ? '' : `, ${say.flow(figure(told, 'lPerMin')!)}`) +
      (figure(told, 'ranMinutes') === null
        ? '.'
        : `, after the pump had run for ${lasting(told, 'ranMinutes', say)}.`),
    checks: [
      'Keep people away from the inlet until the water has mixed.',
      'Does enough water flow? Little flow comes back hot.',
      'Is a valve half shut, or the filter full?',
      'Does anybody sit where the water comes in? Then the inlet belongs elsewhere.',
    ],
    caution:
      'Water at 60 °C (140 °F) scalds within seconds, and softens plain plastic pipe. Let the tub mix before anybody gets in.',
    over: 'The water that comes into the tub no longer scalds.',
  },
  'freeze-danger': {
    says: (told, say) => {
      if (figure(told, 'expectedC') !== null)
        return `The collectors may freeze tonight: down to ${tub(told, say, 'expectedC')} is expected.`;
      return `The collectors are about to freeze: ${tub(told, say, 'collectorC')}.`;
    },
    first: 'Drain them, or keep warm water moving.',
    shows: (told, say) =>
      `The collectors are at ${tub(told, say, 'collectorC')}` +
      (figure(told, 'airC') === null ? '' : `, the air at ${tub(told, say, 'airC')}`) +
      (told.evidence.pumpOn === true
        ? ', and the pump runs.'
        : told.evidence.pumpOn === false
          ? ', and the pump rests.'
          : ', and whether the pump runs is not known.'),
    checks: [
      'Is it water in the loop, or antifreeze? If it is antifreeze, say so in the set-up.',
      'Has the pump power? It cannot protect anything without.',
      'Drain the collectors, or start the pump by hand while nothing is frozen yet.',
      'Cover the ends of the pipes that stick out of their insulation.',
    ],
    caution:
      'Never warm a frozen pipe with a flame, and never run a pump against ice. At night and on ice, stay off ladders and roofs.',
    over: 'The collectors are out of the frost.',
  },
  'cover-left-off': {
    says: () => 'The tub stands open, and nobody seems to be bathing.',
    first: 'Close the cover.',
    shows: (told, say) =>
      figure(told, 'openMinutes') === null
        ? `For ${lasting(told, 'minutes', say)} it has cooled by ${degrees(told, 'coolingKPerH', say)} an hour, to ${tub(told, say)}; ` +
          `under its cover that would be ${degrees(told, 'coveredKPerH', say)}.`
        : `The cover has been open for ${lasting(told, 'openMinutes', say)}; the tub is at ${tub(told, say)}.`,
    checks: [
      'See that nobody is in trouble in the water, then close the cover.',
      'Does it lie flat all around, and are its straps closed against the wind?',
      'If you are bathing for long, say so here: then this stays quiet.',
      'If it is shut, look at its switch, or at the tub’s thermometer.',
    ],
    caution:
      'Children drown in open tubs within minutes and without a sound: close it, and lock it.',
    over: 'The tub is under its cover again.',
  },
  'tub-loss-grown': {
    says: (told, say) =>
      `The covered tub loses ${say.percent(figure(told, 'grownShare') ?? 0)} more heat than it used to.`,
    first: 'Lift the cover: has it grown heavy?',
    shows: (told, say) =>
      `Over the last ${say.number(figure(told, 'nights') ?? 0, 0)} quiet nights it lost ${say.number(figure(told, 'lossWPerK') ?? 0, 1)} W for each degree Celsius ` +
      `that it is warmer than the air; ${say.number(figure(told, 'usualLossWPerK') ?? 0, 1)} W was usual.`,
    checks: [
      'Lift the cover: one that has grown heavy has taken up water, and insulates little.',
      'On a cold evening, look for steam along the hinge and the rim.',
      'After snow, see where it melts first.',
      'Open the cabinet: is the insulation wet, or has an animal moved in?',
      'Is the water lower than usual, or does the filter run longer?',
    ],
    caution:
      'Behind the cabinet are mains and hot parts: only look, and leave the rest to a licensed person.',
    over: 'The tub holds its heat as it used to.',
  },
  'backup-without-warming': {
    says: (told) =>
      ({
        'heats-nothing': 'The backup takes power, and the water does not grow warmer.',
        'never-stops': 'The backup heats on though the tub is warm enough.',
        'no-power': 'The tub is cold, and the backup takes no power.',
      })[signOf(told)],
    first: 'Read what its own display says.',
    shows: (told, say) => backupSigns[signOf(told)](told, say),
    checks: [
      'What does the backup’s own display say, and what is it set to?',
      'Is its filter clean?',
      'Does the water stand above its inlet?',
      'Has its breaker or earth-leakage switch tripped? If it trips again, leave it off.',
      'Then call an electrician or the maker’s service: flow switch, element and thermostat are theirs.',
    ],
    caution: MAINS,
    over: 'The backup does again what it should.',
  },
  'backup-fights-sun': {
    says: (told, say) =>
      `The backup heats in the morning what the sun would have done: ${say.energy(figure(told, 'freeKwh') ?? 0)}.`,
    first: 'Let it start later in the day.',
    shows: (told, say) =>
      `On ${count(told, 'days')} of ${count(told, 'of')} days it heated before the sun could, ${say.energy(figure(told, 'freeKwh') ?? 0)} in all, ` +
      'and the tub was full when the sun stood high.',
    checks: [
      'Move the backup’s hours to the late afternoon.',
      'Or set it three to five degrees Celsius lower while the sun can shine.',
      'If you bathe in the morning, or power is cheap at night, leave it as it is.',
    ],
    over: 'The backup leaves the mornings to the sun.',
  },
  'water-level-falling': {
    says: (told) =>
      told.evidence.levelLow === true
        ? 'The water in the tub is too low.'
        : 'There seems to be less water in the tub than there was.',
    first: 'Look at the water, and fill it up.',
    shows: (told, say) =>
      told.evidence.levelLow === true
        ? `Its level switch has told so for ten minutes; the water was at ${tub(told, say)}.`
        : `A kilowatt-hour warms it as if it held ${say.percent(figure(told, 'capacityShare') ?? 1)} of its water, and it cools faster at night.`,
    checks: [
      'Look at the level, and fill up to the mark.',
      'Is the ground wet around the tub, at its drain and at the unions of the pipes?',
      'Mark the level with the cover on: more than five litres (a good gallon) a day under a cover is a leak.',
      'Does it fall only while the solar pump runs? Then the leak is in the loop.',
      'Look at the joints of the collectors in the evening, when they are cool.',
    ],
    caution:
      'A backup heater must not run dry: turn it off at its own control until there is water above its inlet.',
    over: 'There is enough water in the tub again.',
  },
};

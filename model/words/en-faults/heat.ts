import { type AllFaultWords, count, degrees, figure } from '../fault-words.ts';

export const heatWords: Pick<
  AllFaultWords,
  | 'night-back-flow'
  | 'heat-thrown-away'
  | 'one-collector-dead'
  | 'pipes-losing-heat'
  | 'array-under-performing'
  | 'array-too-small'
  | 'limit-reached-often'
> = {
  'night-back-flow': {
    says: () => 'At night warm water seems to creep from the tub into the collectors.',
    first: 'Look at the check valve.',
    shows(told, say) {
      const ratio = figure(told, 'ratio');
      const belowK = figure(told, 'tubLessCollectorK') ?? 0;
      const below = `In the small hours the collectors stood only ${say.number(say.difference(belowK), 0)} degrees below the tub`;
      return ratio === null
        ? `${below}, and the tub cooled faster than it usually does.`
        : `${below}: ${say.percent(ratio)} of the way from the air to it, where a closed loop stays near none.`;
    },
    checks: [
      'Close one valve of the loop for one evening and compare that night with the others; a label on it says that it must be opened in the morning.',
      'Is the check valve clean, does its spring close it, and does it point the right way?',
      'Does the pipe dip below the tub’s outlet, so that warm water cannot rise in it?',
      'Do the collectors stand higher than the tub? Ones that stand lower cannot draw its heat at night.',
    ],
    caution:
      'Open the valve again before the sun reaches the collectors: with a closed loop they boil, and steam scalds.',
    over: 'At night the tub’s heat stays in the tub again.',
  },
  'heat-thrown-away': {
    says: () => 'The pump runs on although the loop takes heat out of the tub.',
    first: 'Look at the difference at which the controller stops.',
    shows(told, say) {
      const [kwh, differenceK, backK] = ['thrownAwayKwh', 'differenceK', 'backLessAwayK'].map(
        (name) => figure(told, name),
      );
      const lost = `${say.energy(kwh ?? 0)} went out of the tub within a day`;
      const byK = backK ?? differenceK ?? 0;
      const what = backK === null ? 'the collectors are' : 'the water comes back';
      const where =
        byK < 0
          ? `${say.number(say.difference(-byK), 1)} degrees ${backK === null ? 'colder than the tub' : 'colder than it left'}`
          : 'hardly warmer than the tub';
      return `${lost}; just now ${what} ${where}.`;
    },
    checks: [
      'Is the controller’s switch-off difference large enough? Two to four degrees are usual.',
      'Do the controller’s two sensors read the same when they are equally warm?',
      'Does the sun shine on the collectors’ sensor, or is it out of its place?',
    ],
    over: 'The pump no longer takes heat out of the tub.',
  },
  'one-collector-dead': {
    says: (told) =>
      figure(told, 'collector') === null
        ? 'One collector gives next to no heat.'
        : `Collector ${count(told, 'collector')} gives next to no heat.`,
    first: 'Feel its outlet pipe in the evening.',
    shows: (told, say) =>
      `The water gained ${degrees(told, 'riseK', say)} in it, and ${degrees(told, 'othersRiseK', say)} in each of the others, on ${count(told, 'days')} sunny days.`,
    checks: [
      'Is it in the shade at the same hours each day, or is there something on its glass?',
      'Are the valves at both of its ends open?',
      'In the evening, with the collectors cool: is there air in it that can be let out?',
      'Are the sensors at the outlets in the order of the collectors?',
      'Is the glass fogged inside, or has a tube turned white at its end?',
    ],
    caution:
      'Water in a collector that stands in the sun can boil. Open nothing before the evening, and use a ladder only with somebody to hold it.',
    over: 'The collector gives heat again.',
  },
  'pipes-losing-heat': {
    says: () => 'The pipe back to the tub loses much more heat than it did.',
    first: 'Look for bare or wet insulation along it.',
    shows: (told, say) =>
      `On ${count(told, 'days')} sunny days the water cooled by ${degrees(told, 'dropK', say)} on its way back; ${degrees(told, 'usualDropK', say)} is usual.`,
    checks: [
      'Walk along the pipe: is insulation missing, torn, chewed or wet?',
      'Are there gaps at bends and joints, or where it goes through a wall?',
      'Does it lie on the ground, or in water after rain?',
      'Has the sun eaten the foam? Insulation outdoors needs a jacket.',
      'Nothing to see? Hold the two sensors into one cup of water and compare them.',
    ],
    caution: 'The pipe from the collectors can be scalding while the sun shines.',
    over: 'The pipe back to the tub loses no more than usual.',
  },
  'array-under-performing': {
    says: (told, say) =>
      `The collectors give ${say.percent(1 - (figure(told, 'share') ?? 1))} less than they once did with as much sun.`,
    first: 'Look at the glass.',
    shows: (told, say) =>
      `On the last ${count(told, 'days')} days that tell, they reached ${say.percent(figure(told, 'ofExpected') ?? 0)} of what the sun lets expect; ${say.percent(figure(told, 'onceOfExpected') ?? 0)} was usual.`,
    checks: [
      'Is the glass dirty: dust, pollen, salt, leaves, bird droppings?',
      'Does something throw a shadow that did not at first: a tree, a mast, a new roof?',
      'Is the glass fogged inside, or has a tube turned white at its end?',
      'Has anything changed at the pump, the filter or the valves?',
      'Is the insulation of the pipes whole and dry?',
    ],
    caution:
      'Wash glass in the evening: cold water can crack it while it is hot. On a roof or a ladder, let a person do it who is used to that.',
    over: 'The collectors give what they used to again.',
  },
  'array-too-small': {
    says: (told, say) =>
      `The collectors bring ${say.percent(figure(told, 'share') ?? 0)} of what the tub needs, in their best weeks.`,
    first: 'A better cover helps first.',
    shows: (told, say) =>
      `In their best four weeks they brought ${say.energy(figure(told, 'gainKwh') ?? 0)} a day; a covered tub loses ${say.energy(figure(told, 'needKwh') ?? 0)} a day in that weather, baths not counted.`,
    checks: [
      'Does the cover fit, and is it dry and light? What the tub does not lose, the sun need not bring.',
      'Can the collectors stand where no shadow falls on them?',
      'One more collector would bring about as much as each of those there.',
    ],
    over: 'The collectors bring a fair share of what the tub needs.',
  },
  'limit-reached-often': {
    says: () => 'The tub is full on most days, and sun is left over.',
    first: 'Let the backup hold it a little lower.',
    shows: (told, say) =>
      `On ${count(told, 'days')} of ${count(told, 'of')} days the pump rested for more than an hour because the water was warm enough: ${say.number(figure(told, 'hours') ?? 0, 0)} hours in all.`,
    checks: [
      'Set the backup lower in the sunny season, or to later hours: then the sun finds room in the tub.',
      'Move the filter’s hours to the evening.',
      'Shade one collector for the season, in the evening when it is cool; or just enjoy it.',
    ],
    over: 'The tub has room for the sun again.',
  },
};

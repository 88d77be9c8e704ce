import type { SheetWords } from './sheet-words.ts';

/** What the month's sheet says, in English. */
export const enSheet: SheetWords = {
  demo: 'A demonstration: this tub is simulated and its figures are invented.',
  title: ({ month, upTo }) => (upTo === null ? month : `${month}, up to ${upTo}`),
  sentence({ savedKwh, gainKwh, basis }, say) {
    const about = basis === 'measured' ? '' : 'about ';
    if (savedKwh !== null) {
      if (Math.abs(savedKwh) < 0.05) return 'The sun saved nothing.';
      const amount = `${about}${say.energy(Math.abs(savedKwh))}`;
      return savedKwh > 0
        ? `The sun saved ${amount} of backup energy.`
        : `The loop cost ${amount} more than it saved.`;
    }
    if (gainKwh === null) return 'What the sun put in is not known.';
    return `The sun put in ${about}${say.energy(gainKwh)} of heat.`;
  },
  figures: 'The month in figures',
  range: 'range',
  gain: 'Heat from the sun',
  basis: {
    measured: 'measured',
    estimated: 'estimated',
    mixed: 'partly measured, partly estimated',
  },
  lost: 'Heat that the loop took out again',
  useful: 'Of use: what the backup need not give',
  saved: {
    electric: 'Saved, electricity of the backup',
    'heat-pump': 'Saved, electricity of the heat pump',
    gas: 'Saved, gas of the backup',
    none: 'Saved',
  },
  money: 'That in money',
  carbon: 'That in CO₂',
  pump: 'Electricity of pump and controller',
  water: 'Water, lowest and highest',
  waterRange: (lowC, highC, say) => `${say.temperature(lowC)} to ${say.temperature(highC)}`,
  heard: 'Days heard',
  heardDays: ({ days, of, coverage }, say) =>
    `${days} of ${of}; worked out for ${say.percent(coverage)} of the time`,
  notKnown: 'not known',
  noBackup: 'no backup',
  noPrice: 'no price entered',
  noCarbon: 'not entered',
  days: 'Day by day, kWh',
  day: 'Day',
  columns: { gain: 'from the sun', useful: 'of use', saved: 'saved' },
  notHeard: 'not heard',
  sum: 'Together',
  notCounted: 'Not counted, and why',
  allCounted: 'Every day counts in full.',
  savedUnknown: 'what was saved is not known',
  why: (why) => (why === 'not heard' ? 'sensors not heard' : why),
  spanOf: ({ date, from, to }) => `${date}, ${from} to ${to}`,
  moreSpans: (count) => `and ${count} more of them`,
  log: 'From the owner’s log',
  noLog: 'Nothing was entered.',
  moreLog: (count) => `and ${count} more, not shown here`,
  method: 'How it is worked out',
  heatBy: {
    measured:
      'Heat is what flows times the difference between the loop’s two pipes, moment by moment, with ' +
      'water’s own density and enthalpy (IAPWS-IF97, in the form of EN 1434-1).',
    estimated:
      'No flow was measured: heat is estimated from the temperatures of tub and collector and the ' +
      'flow in use, as it was entered or learned from how the tub itself warmed and cooled.',
    mixed:
      'Where flow and both pipes were heard, heat is measured (IAPWS-IF97, in the form of EN 1434-1); ' +
      'else it is estimated from tub and collector and the flow in use.',
  },
  savedBy: {
    backup:
      'The tub’s balance is run a second time with the backup alone: what it then would have had to ' +
      'give is of use, and the fuel for that, less the electricity of the pump, is saved.',
    none: 'There is no backup whose energy the sun could have saved.',
  },
  doubt:
    'Ranges reach two standard uncertainties to either side (k = 2); since a sensor errs alike every ' +
    'day, days add up in them linearly.',
  made: ({ at, timeZone, settled }) =>
    `Made by Sunsteep on ${at} (${timeZone.replaceAll('_', ' ')}).` +
    (settled ? '' : ' Estimates of the last two weeks may still move a little.'),
  howToPrint: 'To print it or to keep it as a PDF, use your browser’s own menu.',
  back: 'Back to the month',
};

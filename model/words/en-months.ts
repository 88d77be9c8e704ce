import type { Basis } from '../shapes.ts';
import type { Cause } from '../year-before.ts';
import type { MonthsWords } from './months-words.ts';
import type { Speaker } from './speaker.ts';

/** What the months' own screen says, in English. */

const about = (basis: Basis) => (basis === 'measured' ? '' : 'about ');

const list = (parts: string[]) =>
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;

const byPercent = (change: number, say: Speaker) => say.percent(Math.abs(change));

/** What the cause is and what it did, as the second half of a sentence. */
function causeOf(cause: Cause, say: Speaker): string {
  switch (cause.kind) {
    case 'fewer-days':
    case 'more-days':
      return `${cause.days} days could be worked out instead of ${cause.daysBefore}`;
    case 'sunnier':
      return `the collectors had ${byPercent(cause.change, say)} more sun`;
    case 'less-sun':
      return `the collectors had ${byPercent(cause.change, say)} less sun`;
    case 'more-yield':
      return `the loop made ${byPercent(cause.change, say)} more of the same sun`;
    case 'less-yield':
      return `the loop made ${byPercent(cause.change, say)} less of the same sun`;
    case 'warmer':
      return `it was ${degrees(cause.deltaK, say)} warmer outdoors, so the tub needed less heat`;
    case 'colder':
      return `it was ${degrees(cause.deltaK, say)} colder outdoors, so the tub needed more heat`;
    case 'more-baths':
      return `${cause.baths} baths instead of ${cause.bathsBefore} took more heat`;
    case 'fewer-baths':
      return `${baths(cause.baths)} instead of ${cause.bathsBefore} took less heat`;
    case 'more-heat':
    case 'less-heat': {
      const more = cause.kind === 'more-heat' ? 'more' : 'less';
      return (
        `${byPercent(cause.change, say)} ${more} heat came. A sensor for the sun on the ` +
        'collectors would tell whether that was the sky or the loop'
      );
    }
  }
}

const baths = (count: number) => (count === 1 ? '1 bath' : `${count} baths`);

function degrees(deltaK: number, say: Speaker): string {
  const amount = say.number(Math.abs(say.difference(deltaK)), 0);
  return amount === '1' ? '1 degree' : `${amount} degrees`;
}

const kilograms = (kg: number, say: Speaker) =>
  `${say.number(Math.abs(kg), Math.abs(kg) < 9.95 ? 1 : 0)} kg`;

const carbonOf = (kg: number, say: Speaker) =>
  kg < 0
    ? `It caused ${kilograms(kg, say)} of CO₂ more than it saved.`
    : `That is ${kilograms(kg, say)} of CO₂.`;

const isNothing = (kwh: number) => Math.abs(kwh) < 0.05;

export const enMonths: MonthsWords = {
  saved({ month, kwh, basis }, say) {
    const when = month === null ? 'This month' : `In ${month}`;
    if (isNothing(kwh)) {
      return month === null
        ? 'This month the sun has saved you nothing yet.'
        : `In ${month} the sun saved you nothing.`;
    }
    const amount = `${about(basis)}${say.energy(Math.abs(kwh))}`;
    if (kwh < 0) {
      return month === null
        ? `This month the loop has cost you ${amount} more than it saved.`
        : `In ${month} the loop cost you ${amount} more than it saved.`;
    }
    return `${when} the sun ${month === null ? 'has saved' : 'saved'} you ${amount}.`;
  },
  heat({ month, kwh, basis }, say) {
    const when = month === null ? 'This month' : `In ${month}`;
    if (kwh === null) {
      return month === null
        ? 'What the sun has put in this month is not known.'
        : `What the sun put in in ${month} is not known.`;
    }
    const amount = isNothing(kwh) ? 'nothing' : `${about(basis)}${say.energy(kwh)}`;
    return `${when} the sun ${month === null ? 'has put in' : 'put in'} ${amount}.`;
  },
  worth({ money, currency, co2Kg }, say) {
    const carbon = co2Kg === null ? null : carbonOf(co2Kg, say);
    if (money === null || currency === null) {
      const kg = carbon === null ? '' : `${carbon} `;
      return `${kg}What it is in money is not known before a price is in the set-up.`;
    }
    const sum = say.money(Math.abs(money), currency, Math.abs(money) >= 10);
    if (money < 0) return `That cost ${sum}.${carbon === null ? '' : ` ${carbon}`}`;
    if (co2Kg === null || co2Kg < 0) return `That is ${sum}.${carbon === null ? '' : ` ${carbon}`}`;
    return `That is ${sum}, and ${kilograms(co2Kg, say)} of CO₂.`;
  },
  between({ kwh, lowKwh, highKwh }, say) {
    const [low, high] = say.energyRange(kwh, lowKwh, highKwh);
    return `It could be as little as ${low} kWh or as much as ${high}.`;
  },
  savedUnknown: {
    'no-backup': 'What that saved cannot be said: there is no backup that would have given it.',
    'working-out':
      'What that saved is not known yet: past days are being worked out again just now.',
    'not-worked-out':
      'What that saved is not known: it takes a backup in the set-up, and days on which the water, ' +
      'the collector and the pump were heard.',
  },
  compared({ of, differenceKwh, cause, alike, month, sameDays }, say) {
    const then = sameDays ? `the same days of ${month}` : month;
    if (alike) return `About as much as in ${then}.`;
    const heat = of === 'heat' ? ' of heat' : '';
    const more = differenceKwh > 0 ? 'more' : 'less';
    const difference = `${say.energy(Math.abs(differenceKwh))}${heat} ${more} than in ${then}`;
    return cause === null ? `${difference}.` : `${difference}: ${causeOf(cause, say)}.`;
  },
  none: {
    sentence: 'There is no month to tell of yet.',
    detail: 'The first one stands here as soon as a quarter hour of it has been worked out.',
  },
  noPlace: {
    sentence: 'Months begin at the tub’s own midnight.',
    detail: 'So it must be known where it stands. Today asks for that.',
  },
  notHeard: (month) => ({
    sentence: `Nothing was heard in ${month}.`,
    detail: 'So nothing can be said about that month.',
  }),
  notYet: (month) => ({ sentence: `${month} has not come yet.`, detail: '' }),
  failed: {
    sentence: 'The months cannot be had just now.',
    detail: 'They are asked for again as soon as Sunsteep answers.',
  },
  lastKnown: ({ since, duration }) =>
    `What stands here is from ${since}: Sunsteep has not answered for ${duration}.`,
  chart: {
    title: { saved: 'How much did each month save?', heat: 'How much did the sun put in?' },
    key: 'kWh; the line on a bar is how sure it is.',
    keyUnderWay: 'Hatched: not over yet.',
    answer({ of, best, least, soFar, unknown }, say) {
      const did = of === 'saved' ? 'was saved' : 'was put in';
      const told = [
        best === null ? null : `Most ${did} in ${best.month}, ${say.energy(best.kwh)}`,
        least === null ? null : `least in ${least.month}, ${say.energy(least.kwh)}`,
      ].filter((part) => part !== null);
      const parts = [
        told.length > 0 && `${told.join('; ')}.`,
        soFar !== null && `So far in ${soFar.month}: ${say.energy(soFar.kwh)}.`,
        unknown.length > 0 && `Not known: ${list(unknown)}.`,
      ];
      return parts.filter(Boolean).join(' ');
    },
  },
  table: {
    title: { months: 'The months in kWh', days: 'The days in kWh' },
    basis: {
      measured: 'Measured.',
      estimated: 'Estimated: a flow sensor and one temperature on each pipe would measure it.',
      mixed: 'Partly measured, partly estimated.',
    },
    basisWord: { measured: 'measured', estimated: 'estimated', mixed: 'partly estimated' },
    month: 'Month, days heard',
    day: 'Day',
    fromSun: 'from the sun',
    useful: 'useful',
    saved: 'saved',
    notKnown: 'not known',
    notHeard: 'not heard',
    // A dash beside a minus would be read as another one.
    range: ([low, high]) => (low.startsWith('−') ? `${low} to ${high}` : `${low}–${high}`),
    daysOf: (days, of) => (days === of ? `${days} days` : `${days} of ${of} days`),
  },
  sheet: 'Sheet to print',
  csv: 'Figures as CSV',
  file: (tub, month) => (month === null ? `${tub}-months` : `${tub}-${month}`),
  before: 'The month before',
  after: 'The month after',
  all: 'All months',
  steps: 'Other months',
};

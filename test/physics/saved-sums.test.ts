import { expect, test } from 'vitest';
import { dayBounds } from '../../model/civil-time.ts';
import { dayOf, monthOf, type WorkedDay } from '../../model/day.ts';
import type { Saved } from '../../model/saved.ts';
import { known, quiet } from './quarters.ts';
import { always } from './traces.ts';

/** What was saved, as a day and as the sum of a month's days. */

const tariff = (currency: string) => ({ currency, otherwise: 0.3, bands: [] });

/** A heat pump's day, worked out; `said` is what its set-up had. */
function worked(
  date: string,
  saved: Partial<Saved>,
  said: Parameters<typeof always>[0] = {},
): WorkedDay {
  const bounds = dayBounds(date, 'UTC');
  const { settings } = always({ backup: { kind: 'heat-pump' }, ...said })[0]!;
  const day: Saved = {
    usefulKwh: 0,
    savedKwh: 0,
    savedMoney: null,
    savedCo2Kg: null,
    uncertainty: { flow: 0, pair: 0, flowInUse: 0, loss: 0, capacity: 0, backup: 0 },
    efficiency: 3,
    efficiencyUncertainty: 0,
    after: { tubC: 38, heardTo: null, referenceC: 38, heats: false, seen: [] },
    notHeard: [],
    ...saved,
  };
  const figures = {
    date,
    evidence: null,
    learned: known(10, 4),
    expected: { expectedKwh: 0, sunKwhPerM2: 0 },
    before: null,
    spoilt: [],
    saved: day,
    after: day.after,
  };
  return { date, bounds, quarters: [quiet(bounds.from)], figures, settings, drained: [] };
}

const march = { from: Date.UTC(2026, 2, 1), to: Date.UTC(2026, 3, 1) };
const monthOfDays = (days: WorkedDay[]) => monthOf('2026-03', days, march, march.to);

const doubts = (flow: number, capacity = 0): Saved['uncertainty'] => ({
  flow,
  pair: 0,
  flowInUse: 0,
  loss: 0,
  capacity,
  backup: 0,
});

test('good and bad days that cancel out leave the doubt of both, and no more', () => {
  const days = [
    worked('2026-03-01', { usefulKwh: 10, efficiency: 2.4, uncertainty: doubts(2) }),
    worked('2026-03-02', { usefulKwh: -9.85, efficiency: 3.6, uncertainty: doubts(2) }),
  ];
  const { usefulKwh, usefulUncertaintyKwh, savedUncertaintyKwh } = monthOfDays(days);
  expect(usefulKwh).toBeCloseTo(0.15, 9);
  expect(usefulUncertaintyKwh).toBeCloseTo(4, 9);
  expect(savedUncertaintyKwh).toBeCloseTo(2 / 2.4 + 2 / 3.6, 9);
});

test('each cause adds up over days, and causes in squares, in heat as in fuel', () => {
  const days = [1, 2, 3].map((n) =>
    worked(`2026-03-0${n}`, { usefulKwh: 6, uncertainty: doubts(0.3, 0.4) }),
  );
  const month = monthOfDays(days);
  expect(month.usefulUncertaintyKwh).toBeCloseTo(1.5, 9);
  expect(month.savedUncertaintyKwh).toBeCloseTo(0.5, 9);
  expect(dayOf(days[0]!, march.to).savedUncertaintyKwh).toBeCloseTo(0.5 / 3, 9);
});

test('a month whose days were not all priced tells no money, nor CO₂', () => {
  const priced = worked(
    '2026-03-02',
    { savedKwh: 2, savedMoney: 0.6, savedCo2Kg: 0.1 },
    { tariff: tariff('NZD') },
  );
  const unpriced = worked('2026-03-01', { savedKwh: 2 });
  expect(monthOfDays([priced])).toMatchObject({ savedMoney: 0.6, savedCo2Kg: 0.1 });
  expect(monthOfDays([unpriced, priced])).toMatchObject({
    savedKwh: 4,
    savedMoney: null,
    savedCo2Kg: null,
  });
});

test('money of two currencies is not added up', () => {
  const earned = (date: string, currency: string) =>
    worked(date, { savedMoney: 1 }, { tariff: tariff(currency) });
  const both = monthOfDays([earned('2026-03-01', 'NZD'), earned('2026-03-02', 'EUR')]);
  expect(both.savedMoney).toBeNull();
  expect(monthOfDays([earned('2026-03-01', 'EUR'), earned('2026-03-02', 'EUR')]).savedMoney).toBe(
    2,
  );
});

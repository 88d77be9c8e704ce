import { expect, test } from 'vitest';
import { enMonths } from '../../model/words/en-months.ts';
import { plainSpeaker, speakerOf } from '../../model/words/speaker.ts';
import { barsOf, kindOf } from '../../web/months/bars.ts';
import { figuresFile } from '../../web/months/figures-file.ts';
import { datesOf, daysIn, monthAfter, monthsBetween } from '../../web/months/month-dates.ts';
import { stretchOf } from '../../web/months/stretch.ts';
import { monthTold } from '../../web/months/told.ts';
import { february, monthWith, savingDay } from './months.ts';

const say = plainSpeaker('Pacific/Auckland');
const told = (changes: Parameters<typeof monthWith>[2], name: string | null = null) =>
  monthTold(monthWith('2026-03', 131, changes), name, 'not-worked-out', enMonths, say);

test('a month is told with what it saved, in money and CO₂, and how sure that is', () => {
  expect(told({ savedUncertaintyKwh: 7 })).toEqual({
    sentence: 'This month the sun has saved you 131 kWh.',
    detail: 'That is NZ$39, and 13 kg of CO₂. It could be as little as 117 kWh or as much as 145.',
  });
  expect(told({}, 'October 2025').sentence).toBe('In October 2025 the sun saved you 131 kWh.');
  expect(told({ basis: 'estimated' }).sentence).toBe(
    'This month the sun has saved you about 131 kWh.',
  );
  expect(told({ savedCo2Kg: null }).detail).toMatch(/^That is NZ\$39\. It could/);
});

test('without a price nothing is told of money', () => {
  expect(told({ savedMoney: null, currency: null }).detail).toBe(
    'That is 13 kg of CO₂. What it is in money is not known before a price is in the set-up. ' +
      'It could be as little as 117 kWh or as much as 145.',
  );
  expect(told({ savedMoney: null, savedCo2Kg: null }).detail).toMatch(/^What it is in money/);
});

test('a month that cost more than it saved says so', () => {
  const bad = { savedKwh: -2.1, savedUncertaintyKwh: 0.9, savedMoney: -0.63, savedCo2Kg: -0.21 };
  expect(told(bad)).toEqual({
    sentence: 'This month the loop has cost you 2.1 kWh more than it saved.',
    detail:
      'That cost NZ$0.63. It caused 0.2 kg of CO₂ more than it saved. It could be as little as ' +
      '−3.9 kWh or as much as −0.3.',
  });
  expect(told(bad, 'June 2025').sentence).toBe(
    'In June 2025 the loop cost you 2.1 kWh more than it saved.',
  );
  expect(told({ savedKwh: 0.01 }).sentence).toBe('This month the sun has saved you nothing yet.');
});

test('where what was saved is not known the heat is told, and why', () => {
  const unknown = { savedKwh: null, savedMoney: null, gainKwh: 158, uncertaintyKwh: 6 };
  expect(told(unknown)).toEqual({
    sentence: 'This month the sun has put in 158 kWh.',
    detail:
      'It could be as little as 146 kWh or as much as 170. What that saved is not known: it takes ' +
      'a backup in the set-up, and days on which the water, the collector and the pump were heard.',
  });
  expect(told({ ...unknown, gainKwh: null }, 'May 2025').sentence).toBe(
    'What the sun put in in May 2025 is not known.',
  );
});

test('a month beside the one a year before is told with its cause', () => {
  const compared = (cause: Parameters<typeof enMonths.compared>[0]['cause'], by = 26) =>
    enMonths.compared(
      { of: 'saved', differenceKwh: by, cause, alike: false, month: 'March 2025', sameDays: true },
      say,
    );
  expect(compared({ kind: 'sunnier', change: 0.2 })).toBe(
    '26 kWh more than in the same days of March 2025: the collectors had 20 % more sun.',
  );
  expect(compared({ kind: 'less-yield', change: -0.25 }, -26)).toBe(
    '26 kWh less than in the same days of March 2025: the loop made 25 % less of the same sun.',
  );
  expect(compared({ kind: 'warmer', deltaK: 3 }, -26)).toContain(
    'it was 3 degrees warmer outdoors, so the tub needed less heat',
  );
  const inFahrenheit = speakerOf({ ...say.manner, temperature: 'F' });
  expect(
    enMonths.compared(
      {
        ...{ of: 'heat', differenceKwh: 26, alike: false, month: 'March 2025', sameDays: false },
        cause: { kind: 'colder', deltaK: -3 },
      },
      inFahrenheit,
    ),
  ).toBe(
    '26 kWh of heat more than in March 2025: it was 5 degrees colder outdoors, so the tub needed ' +
      'more heat.',
  );
  expect(compared({ kind: 'fewer-baths', baths: 1, bathsBefore: 6 }, -26)).toContain(
    '1 bath instead of 6 took less heat',
  );
  expect(compared({ kind: 'less-heat', change: -0.3 }, -26)).toContain('30 % less heat came.');
  expect(compared({ kind: 'fewer-days', days: 20, daysBefore: 30 }, -26)).toContain(
    '20 days could be worked out instead of 30',
  );
  expect(compared(null)).toBe('26 kWh more than in the same days of March 2025.');
});

test('bars stand on what nothing saved is, with their doubt inside the picture', () => {
  const months = ['2026-01', '2026-02', '2026-03'].map((name, n) => ({
    name,
    month: n === 1 ? null : monthWith(name, n === 0 ? 100 : -20),
  }));
  const drawn = barsOf(months, '2026-03')!;
  expect(drawn.kind).toBe('saved');
  const [first, second, third] = drawn.bars as [
    (typeof drawn.bars)[0],
    (typeof drawn.bars)[0],
    (typeof drawn.bars)[0],
  ];
  expect(first.top + first.height).toBeCloseTo(drawn.zero, 9);
  expect(third.top).toBeCloseTo(drawn.zero, 9);
  expect(first.height / third.height).toBeCloseTo(5, 9);
  expect(second).toMatchObject({ kwh: null, high: null, low: null });
  expect([first.underWay, third.underWay]).toEqual([false, true]);
  for (const { high, low } of [first, third]) {
    expect(high).toBeGreaterThan(0);
    expect(low).toBeLessThan(1);
    expect(low).toBeGreaterThan(high!);
  }
  expect(drawn.mark!.kwh).toBe(100);
  expect(drawn.mark!.y).toBeCloseTo(first.top, 9);
});

test('where nothing saved is known the heat is drawn, and of no months nothing', () => {
  const month = monthWith('2026-03', 0, { savedKwh: null, gainKwh: 3, uncertaintyKwh: 4 });
  expect(kindOf([null, month])).toBe('heat');
  const drawn = barsOf([{ name: '2026-03', month }], '2026-03')!;
  expect(drawn.bars[0]).toMatchObject({ kwh: 3, lowKwh: 0, highKwh: 11 });
  expect(barsOf([{ name: '2026-03', month: null }], '2026-03')).toBeNull();
});

test('the calendar of months', () => {
  expect(monthAfter('2026-03', -12)).toBe('2025-03');
  expect(monthAfter('2025-12', 1)).toBe('2026-01');
  expect(monthsBetween('2025-11', '2026-02')).toEqual(['2025-11', '2025-12', '2026-01', '2026-02']);
  expect(['2026-02', '2024-02', '2026-12', '2026-04'].map(daysIn)).toEqual([28, 29, 31, 30]);
  expect(datesOf('2026-03', '2026-03-02')).toEqual(['2026-03-01', '2026-03-02']);
  expect(datesOf('2026-02', '2026-03-02')).toHaveLength(28);
});

test('days are held against others only as far as the same sensors were heard', () => {
  const days = Object.values(february(2026, 6, 5, { sunKwhPerM2: 5 }));
  const means = (count: number, length: number) => Array(length).fill({ mean: 14, count });
  const heard = { days, outdoor: means(96, 27), irradiance: means(96, 27), log: [] };
  const whole = stretchOf(heard);
  expect(whole).toMatchObject({ days: 27, basis: 'measured', outdoorC: 14, baths: null });
  expect(whole.gainKwh).toBeCloseTo(27 * 6, 9);
  expect(whole.savedKwh).toBeCloseTo(27 * 5, 9);
  expect(whole.sunKwhPerM2).toBeCloseTo(27 * 5, 9);
  expect(stretchOf({ ...heard, irradiance: means(96, 20) }).sunKwhPerM2).toBeNull();
  expect(stretchOf({ ...heard, outdoor: means(3, 27) }).outdoorC).toBeNull();
  const [one, ...others] = days;
  expect(
    stretchOf({ ...heard, days: [{ ...one!, savedKwh: null }, ...others] }).savedKwh,
  ).toBeNull();
  expect(stretchOf({ ...heard, days: [] })).toMatchObject({ days: 0, gainKwh: null, basis: null });
  const log = [
    { id: 'a', kind: 'bathing' as const, from: '2026-02-03T06:00:00Z' },
    { id: 'b', kind: 'remark' as const, from: '2026-02-03T06:00:00Z' },
  ];
  expect(stretchOf({ ...heard, log }).baths).toBe(1);
});

test('figures are written under the names that scripts know, with a point, unknown empty', () => {
  const [head, row] = figuresFile([monthWith('2026-03', 131.123456, { savedMoney: null })]).split(
    '\r\n',
  );
  const named = Object.fromEntries(head!.split(',').map((name, n) => [name, row!.split(',')[n]]));
  expect(named).toMatchObject({
    ...{ month: '2026-03', savedKwh: '131.123', savedMoney: '', currency: 'NZD', days: '30' },
    basis: 'measured',
  });
  expect(figuresFile([{ ...savingDay, savedKwh: -0.5 }])).toMatch(/^date,gainKwh,.*-0\.5,/s);
  const hostile = figuresFile([{ ...savingDay, currency: '=1+1' }]);
  expect(hostile).toContain(`"'=1+1"`);
});

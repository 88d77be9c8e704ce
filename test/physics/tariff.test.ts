import fc from 'fast-check';
import { expect, test } from 'vitest';
import { dayBounds } from '../../model/civil-time.ts';
import { tubSetupSchema } from '../../model/setup.ts';
import {
  displaced,
  mayRun,
  meanPrice,
  priceAt,
  priceSpans,
  type Tariff,
} from '../../model/tariff.ts';
import { tubSettings } from '../../model/tub-settings.ts';
import { hold } from './margins.ts';
import { cases } from './reference.ts';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const everyDay = [1, 2, 3, 4, 5, 6, 7];
const workingDays = [1, 2, 3, 4, 5];

/** Hours at each price, and what a steady kilowatt costs. */
function paid(from: number, to: number, tariff: Tariff, zone: string) {
  const hours = new Map<number, number>();
  let cost = 0;
  for (const span of priceSpans(from, to, tariff, zone)) {
    const length = (span.to - span.from) / HOUR;
    hours.set(span.price, (hours.get(span.price) ?? 0) + length);
    cost += length * span.price;
  }
  return { hours, cost };
}

test('every elapsed hour is paid for by the clock on the wall, on 23, 24 and 25 hour days', () => {
  const tariff: Tariff = {
    currency: 'EUR',
    otherwise: 0.2,
    bands: [
      { days: everyDay, from: '00:00', to: '08:00', price: 0.1 },
      { days: everyDay, from: '18:00', to: '22:00', price: 0.3 },
    ],
  };
  const known = cases<
    { time_zone: string; local_date: string; constant_saving_kW: number },
    Record<string, number>
  >('tariff', 'day cost');
  hold(
    'cost of a day',
    36,
    known.flatMap(({ inputs, expected }) => {
      const { time_zone: zone } = inputs;
      const { from, to } = dayBounds(inputs.local_date, zone);
      const { hours, cost } = paid(from, to, tariff, zone);
      return [
        [hours.get(0.1), expected['hours_at_0.10']!],
        [hours.get(0.2), expected['hours_at_0.20']!],
        [hours.get(0.3), expected['hours_at_0.30']!],
        [(inputs.constant_saving_kW * (to - from)) / HOUR, expected.energy_kWh!],
        [cost, expected.saving!],
        [meanPrice(from, to, tariff, zone) * expected.energy_kWh!, expected.saving!],
      ] as const;
    }),
  );
});

const PERIOD = { P1: 1, P2: 2, P3: 3 };
const spanish: Tariff = {
  currency: 'EUR',
  otherwise: PERIOD.P3,
  bands: [
    { days: workingDays, from: '10:00', to: '14:00', price: PERIOD.P1 },
    { days: workingDays, from: '18:00', to: '22:00', price: PERIOD.P1 },
    { days: workingDays, from: '08:00', to: '24:00', price: PERIOD.P2 },
  ],
};

test('three periods on working days and one at weekends count as the regulator has them', () => {
  const days = cases<
    { local_date: string },
    { P1_hours: number; P2_hours: number; P3_hours: number }
  >('tariff', 'Spanish days');
  hold(
    'hours of a period',
    15,
    days.flatMap(({ inputs, expected }) => {
      const { from, to } = dayBounds(inputs.local_date, 'Europe/Madrid');
      const { hours } = paid(from, to, spanish, 'Europe/Madrid');
      return [
        [hours.get(PERIOD.P1) ?? 0, expected.P1_hours],
        [hours.get(PERIOD.P2) ?? 0, expected.P2_hours],
        [hours.get(PERIOD.P3) ?? 0, expected.P3_hours],
      ] as const;
    }),
  );
  const clock = cases<{ working_day_clock_hour: number }, { period: 'P1' | 'P2' | 'P3' }>(
    'tariff',
    'Spanish hours',
  );
  const { from } = dayBounds('2026-08-12', 'Europe/Madrid'); // a Wednesday
  hold(
    'hours of a period',
    12,
    clock.map(({ inputs, expected }) => [
      priceAt(from + inputs.working_day_clock_hour * HOUR, spanish, 'Europe/Madrid'),
      PERIOD[expected.period],
    ]),
  );
});

const night: Tariff = {
  currency: 'NZD',
  otherwise: 0.31,
  bands: [{ days: workingDays, from: '23:00', to: '07:00', price: 0.17 }],
};
const auckland = (local: string, offset = '+13:00') => Date.parse(`${local}${offset}`);

test('a band over midnight belongs to the day on which it begins', () => {
  const at = (local: string) => priceAt(auckland(local), night, 'Pacific/Auckland');
  expect(at('2026-03-06T22:59')).toBe(0.31); // Friday
  expect(at('2026-03-06T23:00')).toBe(0.17);
  expect(at('2026-03-07T06:59')).toBe(0.17); // Saturday, begun on Friday
  expect(at('2026-03-07T07:00')).toBe(0.31);
  expect(at('2026-03-07T23:30')).toBe(0.31);
  expect(at('2026-03-09T03:00')).toBe(0.31); // Monday, begun on Sunday
  expect(at('2026-03-09T23:00')).toBe(0.17);
});

test('a night over the clock change has an hour more or less', () => {
  const everyNight: Tariff = {
    ...night,
    bands: [{ days: everyDay, from: '23:00', to: '07:00', price: 0.17 }],
  };
  const cheap = (from: number, to: number) =>
    [...priceSpans(from, to, everyNight, 'Pacific/Auckland')]
      .filter((span) => span.price === 0.17)
      .map((span) => (span.to - span.from) / HOUR);
  const noon = (date: string, offset: string) => auckland(`${date}T12:00`, offset);
  expect(cheap(noon('2026-04-04', '+13:00'), noon('2026-04-05', '+12:00'))).toEqual([9]);
  expect(cheap(noon('2026-09-26', '+12:00'), noon('2026-09-27', '+13:00'))).toEqual([7]);
  expect(cheap(noon('2026-07-01', '+12:00'), noon('2026-07-02', '+12:00'))).toEqual([8]);
});

test('an edge within the hour that the clock shows twice is met twice', () => {
  const tariff: Tariff = {
    currency: 'EUR',
    otherwise: 0.2,
    bands: [{ days: everyDay, from: '02:15', to: '02:45', price: 0.1 }],
  };
  const spans = (date: string) => {
    const { from, to } = dayBounds(date, 'Europe/Madrid');
    return [...priceSpans(from, to, tariff, 'Europe/Madrid')]
      .filter((span) => span.price === 0.1)
      .map((span) => [new Date(span.from).toISOString(), (span.to - span.from) / MINUTE]);
  };
  expect(spans('2026-10-25')).toEqual([
    ['2026-10-25T00:15:00.000Z', 30],
    ['2026-10-25T01:15:00.000Z', 30],
  ]);
  expect(spans('2026-03-29')).toEqual([]); // 02:00 to 03:00 is skipped
  expect(spans('2026-07-01')).toHaveLength(1);
});

test('the first band that fits counts', () => {
  const tariff: Tariff = {
    currency: 'EUR',
    otherwise: 3,
    bands: [
      { days: [7], from: '00:00', to: '24:00', price: 1 },
      { days: everyDay, from: '12:00', to: '18:00', price: 2 },
    ],
  };
  expect(priceAt(Date.UTC(2026, 2, 1, 13), tariff, 'UTC')).toBe(1); // a Sunday
  expect(priceAt(Date.UTC(2026, 2, 2, 13), tariff, 'UTC')).toBe(2);
  expect(priceAt(Date.UTC(2026, 2, 2, 18), tariff, 'UTC')).toBe(3);
});

test('a band that ends where it begins lasts a day', () => {
  const tariff: Tariff = {
    currency: 'EUR',
    otherwise: 2,
    bands: [{ days: [1], from: '07:00', to: '07:00', price: 1 }],
  };
  const from = Date.UTC(2026, 2, 1);
  expect([...priceSpans(from, from + 4 * 24 * HOUR, tariff, 'UTC')]).toEqual([
    { from, to: Date.UTC(2026, 2, 2, 7), price: 2 },
    { from: Date.UTC(2026, 2, 2, 7), to: Date.UTC(2026, 2, 3, 7), price: 1 },
    { from: Date.UTC(2026, 2, 3, 7), to: Date.UTC(2026, 2, 5), price: 2 },
  ]);
});

test('one price all year is one span', () => {
  const flat: Tariff = { currency: 'EUR', otherwise: 0.25 };
  const [from, to] = [Date.UTC(2026, 0, 1), Date.UTC(2027, 0, 1)];
  expect([...priceSpans(from, to, flat, 'Europe/Madrid')]).toEqual([{ from, to, price: 0.25 }]);
  expect([...priceSpans(to, from, flat, 'Europe/Madrid')]).toEqual([]);
  expect(meanPrice(from, from, flat, 'Europe/Madrid')).toBe(0.25);
});

const anyTime = fc
  .tuple(fc.integer({ min: 0, max: 23 }), fc.constantFrom(0, 5, 15, 30, 45, 59))
  .map(([hour, minute]) => [hour, minute].map((part) => String(part).padStart(2, '0')).join(':'));
const anyWindow = fc.record({
  days: fc.subarray(everyDay, { minLength: 1 }),
  from: anyTime,
  to: fc.oneof(anyTime, fc.constant('24:00')),
});
/** Zones that move their clocks by an hour or a half, at 24:00, or by a month of fasting. */
const anyZone = fc.constantFrom(
  'Europe/Madrid',
  'Pacific/Auckland',
  'Australia/Lord_Howe',
  'America/Santiago',
  'America/Havana',
  'Africa/Casablanca',
  'Asia/Kathmandu',
);
/** From shortly before a change of clocks somewhere, or any time of two years. */
const anyStart = fc.oneof(
  fc.constantFrom(
    ...['2026-03-28', '2026-10-24', '2026-04-04', '2026-10-03', '2026-09-05', '2026-02-14'].map(
      (date) => Date.parse(date),
    ),
  ),
  fc
    .integer({ min: 0, max: 730 * 24 * 60 })
    .map((minutes) => Date.UTC(2025, 0, 1) + minutes * MINUTE),
);
const anyLength = fc.integer({ min: 1, max: 3 * 24 * 60 }).map((minutes) => minutes * MINUTE);

test('spans cover a stretch without gap or overlap, and each holds the price of its instants', () => {
  fc.assert(
    fc.property(
      fc.array(fc.tuple(anyWindow, fc.constantFrom(0.1, 0.2, -0.05)), { maxLength: 4 }),
      anyZone,
      anyStart,
      anyLength,
      (bands, zone, from, length) => {
        const tariff: Tariff = {
          currency: 'EUR',
          otherwise: 0.3,
          bands: bands.map(([window, price]) => ({ ...window, price })),
        };
        const spans = [...priceSpans(from, from + length, tariff, zone)];
        expect(spans[0]!.from).toBe(from);
        expect(spans.at(-1)!.to).toBe(from + length);
        spans.forEach((span, i) => {
          if (i > 0) {
            expect(span.from).toBe(spans[i - 1]!.to);
            expect(span.price).not.toBe(spans[i - 1]!.price);
          }
          for (const t of [span.from, (span.from + span.to) / 2, span.to - 1]) {
            expect(priceAt(Math.floor(t), tariff, zone)).toBe(span.price);
          }
        });
      },
    ),
    { numRuns: 300 },
  );
});

test('the backup may run in its hours, and always where none are told', () => {
  fc.assert(
    fc.property(
      fc.array(anyWindow, { minLength: 1, maxLength: 3 }),
      anyZone,
      anyStart,
      anyLength,
      (hours, zone, from, length) => {
        // Hours with a price of their own are told by the tariff as well.
        const bands = hours.map((window) => ({ ...window, price: 1 }));
        const spans = [
          ...priceSpans(from, from + length, { currency: 'NZD', otherwise: 0, bands }, zone),
        ];
        for (let t = from; t < from + length; t += 7 * MINUTE) {
          const inside = spans.some((span) => span.price === 1 && span.from <= t && t < span.to);
          expect(mayRun(t, hours, zone)).toBe(inside);
          expect(mayRun(t, null, zone)).toBe(true);
        }
      },
    ),
    { numRuns: 60 },
  );
});

test('an empty list of hours bounds a backup as little as none', () => {
  const said = { id: 'a', place: { latitude: 0, longitude: 0, timeZone: 'UTC' } };
  for (const backup of [{}, { hours: [] }]) {
    expect(tubSettings({ ...said, backup }).backup.hours).toBeNull();
  }
});

test('a tariff and hours of the set-up document are taken as they stand', () => {
  const hours = [{ days: everyDay, from: '16:00', to: '22:00' }];
  const setup = tubSetupSchema.parse({
    id: 'kowhai',
    place: { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' },
    backup: { hours },
    tariff: night,
  });
  const [start, end] = [auckland('2026-03-06T00:00'), auckland('2026-03-07T00:00')];
  const runs = ['15:59', '16:00', '21:59', '22:00'].map((clock) =>
    mayRun(auckland(`2026-03-06T${clock}`), setup.backup!.hours!, setup.place.timeZone),
  );
  expect(runs).toEqual([false, true, true, false]);
  expect(meanPrice(start, end, setup.tariff!, setup.place.timeZone)).toBeCloseTo(
    (8 * 0.17 + 16 * 0.31) / 24,
    12,
  );
});

interface Spared {
  useful_heat_kWh: number;
  cop_or_efficiency: number;
  price_per_kWh: number;
  co2_kg_per_kWh?: number;
  pump_electricity_kWh: number;
}
const sparedBy = (inputs: Spared) =>
  displaced(
    inputs.useful_heat_kWh,
    inputs.cop_or_efficiency,
    inputs.pump_electricity_kWh,
    inputs.price_per_kWh,
    inputs.co2_kg_per_kWh ?? 0,
  );

test('heat spares electricity, money and CO₂ by the efficiency of what would have given it', () => {
  const gross = cases<Spared, { displaced_kWh: number; saving: number; co2_kg: number }>(
    'tariff',
    'displaced electricity',
  );
  hold(
    'displaced fuel',
    18,
    gross.flatMap(({ inputs, expected }) => {
      const ours = sparedBy(inputs);
      return [
        [ours.kwh, expected.displaced_kWh],
        [ours.money, expected.saving],
        [ours.co2Kg, expected.co2_kg],
      ] as const;
    }),
  );
  const net = cases<Spared, { net_kWh: number; net_saving: number }>(
    'tariff',
    'displaced net of pump',
  );
  hold(
    'displaced fuel',
    6,
    net.flatMap(({ inputs, expected }) => {
      const ours = sparedBy(inputs);
      return [
        [ours.kwh, expected.net_kWh],
        [ours.money, expected.net_saving],
      ] as const;
    }),
  );
});

test('heat spares gas, whose kilowatt hours the pump does not take from', () => {
  const KWH_J = 3.6e6;
  const known = cases<
    {
      useful_heat_kWh: number;
      boiler_efficiency: number;
      price_per_therm: number;
      therm_J: number;
    },
    { gas_therm: number; gas_kWh: number; saving: number }
  >('tariff', 'displaced gas');
  hold(
    'displaced gas',
    3,
    known.flatMap(({ inputs, expected }) => {
      const thermKwh = inputs.therm_J / KWH_J;
      const price = inputs.price_per_therm / thermKwh;
      const ours = displaced(inputs.useful_heat_kWh, inputs.boiler_efficiency, 0, price, 0, false);
      return [
        [ours.kwh, expected.gas_kWh],
        [ours.kwh / thermKwh, expected.gas_therm],
        [ours.money, expected.saving],
      ] as const;
    }),
  );
  const withPump = displaced(8, 0.8, 1, 0.5, 0.2, false);
  expect(withPump).toEqual({ kwh: 10, money: 4.5, co2Kg: 1.8 });
});

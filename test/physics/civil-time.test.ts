import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  addDays,
  dayBounds,
  instantOf,
  localDate,
  minuteOfDay,
  monthBounds,
  weekday,
} from '../../model/civil-time.ts';
import { cases } from './reference.ts';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const clock = (minutes: number) =>
  `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;
/** Offset of the clock on the wall from UTC, as the functions under test have it [h]. */
const offsetH = (t: number, zone: string) =>
  (Date.parse(localDate(t, zone)) + minuteOfDay(t, zone) * MINUTE - t) / HOUR;

/** Every date from the first to the last, both included. */
function datesBetween(first: string, last: string): string[] {
  const dates: string[] = [];
  for (let date = first; date <= last; date = addDays(date, 1)) dates.push(date);
  return dates;
}

const tenZones = [
  'Pacific/Auckland',
  'Pacific/Chatham',
  'Australia/Lord_Howe',
  'Asia/Kathmandu',
  'Africa/Casablanca',
  'Europe/Madrid',
  'America/St_Johns',
  'America/Havana',
  'America/Santiago',
  'Pacific/Apia',
];
const zone = fc.constantFrom(...tenZones);
const minuteSince2004 = fc
  .integer({ min: Date.UTC(2004, 0, 1) / MINUTE, max: Date.UTC(2032, 0, 1) / MINUTE })
  .map((minutes) => minutes * MINUTE);

test('local days begin and end where the time zone database says', () => {
  const known = cases<
    { time_zone: string; local_date: string },
    {
      start_utc: string;
      end_utc: string;
      hours: number;
      first_local_time: string;
      utc_offset_at_start: string;
    }
  >('civil-time', 'local days');
  expect(known).toHaveLength(31);
  for (const { inputs, expected } of known) {
    const { from, to } = dayBounds(inputs.local_date, inputs.time_zone);
    const [, sign, h, m] = /([+-])(\d\d)(\d\d)/.exec(expected.utc_offset_at_start)!;
    expect({ ...inputs, from, to, hours: (to - from) / HOUR }).toEqual({
      ...inputs,
      from: Date.parse(expected.start_utc),
      to: Date.parse(expected.end_utc),
      hours: expected.hours,
    });
    expect(clock(minuteOfDay(from, inputs.time_zone))).toBe(expected.first_local_time);
    expect(offsetH(from, inputs.time_zone)).toBe(Number(`${sign}1`) * (Number(h) + Number(m) / 60));
    expect(localDate(from, inputs.time_zone)).toBe(inputs.local_date);
    expect(localDate(to - 1, inputs.time_zone)).toBe(inputs.local_date);
    expect(localDate(from - 1, inputs.time_zone)).toBe(addDays(inputs.local_date, -1));
    expect(localDate(to, inputs.time_zone)).toBe(addDays(inputs.local_date, 1));
  }
});

test('local months begin and end where the time zone database says', () => {
  const known = cases<
    { time_zone: string; local_month: string },
    { start_utc: string; end_utc: string; days: number }
  >('civil-time', 'local months');
  expect(known).toHaveLength(6);
  for (const { inputs, expected } of known) {
    const { from, to } = monthBounds(inputs.local_month, inputs.time_zone);
    expect({ from, to }).toEqual({
      from: Date.parse(expected.start_utc),
      to: Date.parse(expected.end_utc),
    });
    const last = localDate(to - 1, inputs.time_zone);
    expect(datesBetween(`${inputs.local_month}-01`, last)).toHaveLength(expected.days);
  }
  expect(monthBounds('2026-12', 'UTC').to).toBe(Date.UTC(2027, 0, 1));
});

test('the clock on the wall moves at the instant at which it does', () => {
  const known = cases<
    { time_zone: string; utc: string },
    { offset_before_h: number; offset_after_h: number }
  >('civil-time', 'clock changes');
  expect(known).toHaveLength(4);
  for (const { inputs, expected } of known) {
    const t = Date.parse(inputs.utc);
    expect(offsetH(t - MINUTE, inputs.time_zone)).toBe(expected.offset_before_h);
    expect(offsetH(t, inputs.time_zone)).toBe(expected.offset_after_h);
  }
});

test.each(tenZones)('in %s the days of eight years follow each other without a gap', (timeZone) => {
  let expected = dayBounds('2005-01-01', timeZone).from;
  for (const date of datesBetween('2005-01-01', '2012-12-31')) {
    const { from, to } = dayBounds(date, timeZone);
    expect([date, from]).toEqual([date, expected]);
    expect([0, 23, 23.5, 24, 24.5, 25]).toContain((to - from) / HOUR);
    expected = to;
  }
});

test('every instant lies in the day of its date', () => {
  fc.assert(
    fc.property(zone, minuteSince2004, (timeZone, t) => {
      const { from, to } = dayBounds(localDate(t, timeZone), timeZone);
      expect(from <= t && t < to).toBe(true);
    }),
    { numRuns: 1000 },
  );
});

test('date, time and day of the week are those of the platform’s own calendar', () => {
  // Since 2011 no zone of the ten moves its clock back across midnight into the day before.
  const since2012 = minuteSince2004.filter((t) => t >= Date.UTC(2012, 0, 1));
  fc.assert(
    fc.property(zone, since2012, (timeZone, t) => {
      const shown = new Intl.DateTimeFormat('en-CA', {
        timeZone,
        dateStyle: 'short',
        timeStyle: 'short',
        hourCycle: 'h23',
      }).format(t);
      const name = new Intl.DateTimeFormat('en', { timeZone, weekday: 'short' }).format(t);
      const date = localDate(t, timeZone);
      expect(`${date}, ${clock(minuteOfDay(t, timeZone))}`).toBe(shown);
      expect(['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'][weekday(t, timeZone) - 1]).toBe(
        name,
      );
    }),
  );
});

test('an instant is found again by its date and time, or the first that shows the same', () => {
  fc.assert(
    fc.property(zone, minuteSince2004, (timeZone, t) => {
      const date = localDate(t, timeZone);
      const minutes = minuteOfDay(t, timeZone);
      const found = instantOf(date, clock(minutes), timeZone);
      fc.pre(localDate(found, timeZone) === date);
      expect(minuteOfDay(found, timeZone)).toBe(minutes);
      expect(found).toBeLessThanOrEqual(t);
      expect(t - found).toBeLessThanOrEqual(HOUR);
    }),
  );
});

test('a skipped time comes an hour later, a repeated one is its first, 24:00 is the end', () => {
  const at = (date: string, time: string) =>
    new Date(instantOf(date, time, 'Pacific/Auckland')).toISOString();
  expect(at('2026-09-27', '01:59')).toBe('2026-09-26T13:59:00.000Z');
  expect(at('2026-09-27', '02:30')).toBe('2026-09-26T14:30:00.000Z'); // the clock shows 03:30
  expect(at('2026-04-05', '02:30')).toBe('2026-04-04T13:30:00.000Z'); // and again at 14:30
  expect(at('2026-04-05', '24:00')).toBe('2026-04-05T12:00:00.000Z');
  expect(at('2026-06-01', '20:00')).toBe('2026-06-01T08:00:00.000Z');
  expect(at('2026-06-01', '24:00')).toBe('2026-06-01T12:00:00.000Z');
  expect(new Date(instantOf('2026-09-06', '00:00', 'America/Santiago')).toISOString()).toBe(
    '2026-09-06T04:00:00.000Z', // the day begins at 01:00
  );
});

test('a date that a place skipped is empty', () => {
  const { from, to } = dayBounds('2011-12-30', 'Pacific/Apia'); // across the date line
  expect(to - from).toBe(0);
  expect(localDate(from, 'Pacific/Apia')).toBe('2011-12-31');
  expect(localDate(from - 1, 'Pacific/Apia')).toBe('2011-12-29');
});

test('where the clock goes back across midnight the new day has begun for good', () => {
  // At 00:01 on 2005-10-30 the clock went back to 23:01.
  const { from } = dayBounds('2005-10-30', 'America/St_Johns');
  expect(new Date(from).toISOString()).toBe('2005-10-30T02:30:00.000Z');
  expect(localDate(from + 30 * MINUTE, 'America/St_Johns')).toBe('2005-10-30');
  expect(clock(minuteOfDay(from + 30 * MINUTE, 'America/St_Johns'))).toBe('23:30');
});

test('more zones and days than are kept give the same answers', () => {
  const many = Intl.supportedValuesOf('timeZone');
  expect(many.length).toBeGreaterThan(300);
  for (const timeZone of many) {
    const day = dayBounds('2026-06-15', timeZone);
    expect(localDate(day.from, timeZone)).toBe('2026-06-15');
    expect(localDate(day.to, timeZone)).toBe('2026-06-16');
  }
  const years = datesBetween('2020-01-01', '2024-12-31');
  for (const date of [...years, ...years.reverse()]) {
    expect(localDate(dayBounds(date, 'Europe/Madrid').from, 'Europe/Madrid')).toBe(date);
  }
});

test('dates are counted over the ends of months and leap years', () => {
  expect(addDays('2024-02-28', 1)).toBe('2024-02-29');
  expect(addDays('2026-03-01', -1)).toBe('2026-02-28');
  expect(addDays('2026-12-31', 1)).toBe('2027-01-01');
});

test('a zone that does not exist and an instant that is none are refused', () => {
  expect(() => localDate(0, 'Atlantis/Capital')).toThrow(RangeError);
  expect(() => localDate(Number.NaN, 'UTC')).toThrow(RangeError);
});

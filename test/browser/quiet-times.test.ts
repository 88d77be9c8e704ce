import { expect, it } from 'vitest';
import { speakerOf } from '../../model/words/speaker.ts';
import { morningOf, type Place, quietTimes } from '../../web/alerts/quiet-times.ts';
import { localClock } from '../../web/today/clock-hours.ts';

/** Expected instants follow from the rules of the zones: NZDT is UTC+13, NZST UTC+12, EDT UTC−4. */

const placeIn = (timeZone: string): Place => ({
  ...localClock(timeZone),
  dateOf: speakerOf({
    locale: 'en-NZ',
    temperature: 'C',
    volume: 'l',
    hours: 24,
    timeZone,
  }).dateOf,
});
const nelson = placeIn('Pacific/Auckland');
const iso = (instant: number | null) => instant && new Date(instant).toISOString();

it('tonight, tomorrow and a week are told by the clock of the place', () => {
  const times = quietTimes(Date.parse('2026-03-01T01:30:12.345Z'), nelson);
  expect(iso(times.tonight)).toBe('2026-03-01T07:00:00.000Z');
  expect(iso(times.tomorrow)).toBe('2026-03-01T19:00:00.000Z');
  expect(iso(times.week)).toBe('2026-03-07T19:00:00.000Z');
  expect(times.dates).toEqual({ first: '2026-03-02', last: '2027-03-01' });
});

it('tonight is not offered once less than an hour is left of it', () => {
  const tonight = (at: string) => quietTimes(Date.parse(at), nelson).tonight;
  expect(iso(tonight('2026-03-01T06:00:00Z'))).toBe('2026-03-01T07:00:00.000Z');
  expect(tonight('2026-03-01T06:00:01Z')).toBeNull();
  expect(tonight('2026-03-01T10:59:00Z')).toBeNull();
  expect(iso(tonight('2026-03-01T11:00:00Z'))).toBe('2026-03-02T07:00:00.000Z');
});

it('a morning is at eight before and after clocks change, also on the days on which they do', () => {
  const morning = (date: string) => iso(morningOf(date, nelson));
  // Back an hour on 5 April 2026, on an hour on 27 September 2026.
  expect(morning('2026-04-04')).toBe('2026-04-03T19:00:00.000Z');
  expect(morning('2026-04-05')).toBe('2026-04-04T20:00:00.000Z');
  expect(morning('2026-09-26')).toBe('2026-09-25T20:00:00.000Z');
  expect(morning('2026-09-27')).toBe('2026-09-26T19:00:00.000Z');
  expect(iso(morningOf('2026-07-04', placeIn('America/New_York')))).toBe(
    '2026-07-04T12:00:00.000Z',
  );
  expect(iso(morningOf('2026-07-04', placeIn('Asia/Kathmandu')))).toBe('2026-07-04T02:15:00.000Z');
});

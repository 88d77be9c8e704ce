import { expect, test } from 'vitest';
import { demoSetup, demoTub } from '../../../collector-service/demo/place.ts';
import {
  changedStretches,
  changesFrom,
  SetupBook,
} from '../../../collector-service/watch/setup-book.ts';
import type { LogEntry, LogKind } from '../../../model/owner-log.ts';
import { HOUR } from '../../../model/readings.ts';
import type { TubSetup } from '../../../model/setup.ts';

const DAY = 24 * HOUR;
const T0 = Date.parse('2026-03-01T00:00:00Z');
const heard = { from: T0, to: T0 + 90 * DAY };
const tub = demoTub.id;
const version = (from: number, more: Partial<TubSetup> = {}) => ({
  id: 1,
  from,
  setup: { ...demoSetup, tubs: [{ ...demoTub, ...more }] },
  madeAt: T0,
});
const plain = new SetupBook([version(Number.NEGATIVE_INFINITY)]);

const told = (kind: LogKind, from: number, more: Partial<LogEntry> = {}): LogEntry => ({
  id: `${kind} ${from}`,
  kind,
  from,
  until: null,
  data: null,
  note: null,
  ...more,
});
const bucket = (from: number, lPerMin: number) => told('bucket-test', from, { data: { lPerMin } });

/** What is to be worked out again where an entry comes to others; the same where it goes. */
function changedBy(entry: LogEntry, others: LogEntry[] = []) {
  const before = plain.withLog(tub, others);
  const after = plain.withLog(tub, [...others, entry]);
  const stretches = changedStretches(before, after, tub, heard);
  expect(changedStretches(after, before, tub, heard)).toEqual(stretches);
  expect(changesFrom(before, after, tub, heard.from)).toBe(stretches[0]?.from ?? null);
  return stretches;
}

test('a change later on the day of the newest reading changes that day, a later one nothing yet', () => {
  const otherTub = { tub: { ...demoTub.tub, targetC: 36 } };
  const stretchesOf = (from: number) =>
    changedStretches(plain, plain.with({ ...version(from, otherTub), id: 2 }), tub, {
      from: T0,
      to: T0 + 2 * HOUR,
    });
  // the day at the place ends at 11:00 UTC
  expect(stretchesOf(T0 + HOUR)).toEqual([{ from: T0 + HOUR, to: T0 + 2 * HOUR }]);
  expect(stretchesOf(T0 + 11 * HOUR - 1)).toEqual([{ from: T0 + 2 * HOUR, to: T0 + 2 * HOUR }]);
  expect(stretchesOf(T0 + 11 * HOUR)).toEqual([]);
});

const kindsWithoutSums = ['remark', 'away', 'cup-check', 'not-a-fault', 'in-use'] as const;
test.each(kindsWithoutSums)('%s changes nothing', (kind) => {
  expect(changedBy(told(kind, T0 + DAY))).toEqual([]);
});

test('a bath, a drained tub and a confirmed flow change their own time alone', () => {
  for (const kind of ['bathing', 'drained', 'flow-confirmed'] as const) {
    const entry = told(kind, T0 + DAY, { until: T0 + 2 * DAY });
    expect(changedBy(entry)).toEqual([{ from: T0 + DAY, to: T0 + 2 * DAY - 1 }]);
  }
  expect(changedBy(told('water-changed', T0 + DAY))).toEqual([
    { from: T0 + DAY - 3 * HOUR, to: T0 + DAY + 3 * HOUR - 1 },
  ]);
});

test('of a bath within another one nothing is to be worked out again', () => {
  const long = told('bathing', T0 + DAY, { until: T0 + 2 * DAY });
  expect(changedBy(told('bathing', T0 + 1.5 * DAY), [long])).toEqual([]);
  const later = told('bathing', T0 + 2 * DAY - HOUR);
  expect(changedBy(later, [long])).toEqual([{ from: T0 + 2 * DAY, to: T0 + 2 * DAY + HOUR - 1 }]);
});

test('a first bucket test changes all time, another what lies between it and the next', () => {
  expect(changedBy(bucket(T0 + 5 * DAY, 4))).toEqual([heard]);
  const others = [bucket(T0 + DAY, 4), bucket(T0 + 9 * DAY, 4.4)];
  expect(changedBy(bucket(T0 + 5 * DAY, 4.2), others)).toEqual([
    { from: T0 + 5 * DAY, to: T0 + 9 * DAY - 1 },
  ]);
});

const turns = ['cover-changed', 'filter-cleaned', 'sensor-moved'] as const;
test.each(turns)('%s changes the days that learn from both sides of it', (kind) => {
  const changed = T0 + 40 * DAY;
  const around = [{ from: changed - 16 * DAY, to: changed + 23 * DAY - 1 }];
  expect(changedBy(told(kind, changed))).toEqual(around);
});

test('another pump from some day on changes the days before it that learned from days after it', () => {
  const changed = T0 + 40 * DAY;
  const other = plain.with({ ...version(changed, { pump: { watts: 30 } }), id: 2 });
  expect(changedStretches(plain, other, tub, heard)).toEqual([
    { from: changed - 16 * DAY, to: heard.to },
  ]);
});

test('what the log tells of a time before or after all readings changes none', () => {
  const early = told('bathing', T0 - DAY, { until: T0 });
  const after = plain.withLog(tub, [early, told('drained', heard.to + DAY)]);
  expect(changedStretches(plain, after, tub, heard)).toEqual([]);
});

test('the log holds under every version of the set-up', () => {
  const log = [bucket(T0, 4.2), told('flow-confirmed', T0)];
  const book = plain.withLog(tub, log).with(version(T0 + 10 * DAY, { tub: { litres: 900 } }));
  for (const t of [T0 + DAY, T0 + 11 * DAY]) {
    const { loop, owner } = book.at(tub, t)!;
    expect([loop.flowLPerMin, owner.flowConfirmed]).toEqual([4.2, true]);
  }
  expect(book.at(tub, T0 + 11 * DAY)!.tub.litres).toBe(900);
  expect(book.log(tub)).toEqual(log);
});

test('another zone moves all days, whatever the log says', () => {
  const place = { ...demoTub.place!, timeZone: 'Pacific/Honolulu' };
  const moved = plain.with(version(T0 + 10 * DAY, { place }));
  expect(changedStretches(plain, moved, tub, heard)).toEqual([heard]);
  expect(changesFrom(plain, moved, tub, heard.from)).toBe(heard.from);
});

import { expect, test } from 'vitest';
import type { Evidence } from '../../model/evidence.ts';
import { countingAt, turnsOf } from '../../model/evidence-turns.ts';
import { learnedFrom } from '../../model/learned.ts';
import type { LogEntry, LogKind } from '../../model/owner-log.ts';
import { withLog } from '../../model/owner-log-settings.ts';
import type { TubSetup } from '../../model/setup.ts';
import type { SettingsVersion } from '../../model/tub-settings.ts';
import { hoursOf } from './known-hours.ts';
import { always } from './traces.ts';

const CHANGED = Date.parse('2026-03-22T15:00:00Z');
const told = (kind: LogKind, data: LogEntry['data'] = null, from = CHANGED): LogEntry => ({
  ...{ id: `${kind} ${from}`, kind, from, until: null, data, note: null },
});
const logged = (...entries: LogEntry[]) => withLog(always(), entries);
const setUp = (before: Partial<TubSetup>, after: Partial<TubSetup>): SettingsVersion[] => [
  ...always(before),
  { from: CHANGED, settings: always(after)[0]!.settings },
];
const turns = (versions: readonly SettingsVersion[]) => turnsOf(versions).map(({ of }) => of);

test('a cover, litres and sensors of the balance turn the tub', () => {
  expect(turnsOf(logged(told('cover-changed')))).toEqual([{ at: CHANGED, of: 'tub' }]);
  expect(turns(logged(told('sensor-moved')))).toEqual(['tub']);
  expect(turns(logged(told('sensor-moved', { point: 'tub/temperature' })))).toEqual(['tub']);
  expect(turns(logged(told('sensor-moved', { point: 'collector/inlet' })))).toEqual([]);
  expect(turns(setUp({}, { tub: { litres: 1400 } }))).toEqual(['tub']);
  const corrections = { 'collector/temperature': { offset: 1 } };
  expect(turns(setUp({}, { corrections }))).toEqual(['tub']);
});

test('a cleaned filter, another pump, pipe, flow or array turn the loop', () => {
  expect(turns(logged(told('filter-cleaned')))).toEqual(['loop']);
  expect(turns(setUp({}, { pump: { watts: 25 } }))).toEqual(['loop']);
  expect(turns(setUp({}, { loop: { pipeMetres: 30 } }))).toEqual(['loop']);
  expect(turns(setUp({ loop: { flowLPerMin: 3 } }, { loop: { flowLPerMin: 5 } }))).toEqual([
    'loop',
  ]);
  expect(turns(setUp({}, { collectors: { count: 6 } }))).toEqual(['loop']);
});

test('what was only measured or named anew turns nothing', () => {
  const bucket = (lPerMin: number, at: number) => told('bucket-test', { lPerMin }, at);
  expect(turns(logged(bucket(4, CHANGED - 9e8), bucket(4.4, CHANGED)))).toEqual([]);
  expect(turns(setUp({}, { name: 'Old oak', pump: { standbyWatts: 3 } }))).toEqual([]);
  expect(turns(logged(told('bathing'), told('water-changed'), told('remark')))).toEqual([]);
  expect(turnsOf(always())).toEqual([]);
});

const pump = { flowLPerMin: 4, lossWPerK: 9, sunM2: 0.03, filterW: 0, noiseK: 0.03 };
/** Six weeks of days, half of them before the filter was cleaned. */
const days = [
  ...hoursOf({ ...pump, flowLPerMin: 1.8, seed: 5 }),
  ...hoursOf({ ...pump, flowLPerMin: 4, seed: 6 }),
];
const evidence: Evidence[] = Array.from({ length: 42 }, (_, i) => ({
  date: new Date(Date.parse('2026-03-01') + i * 86_400_000).toISOString().slice(0, 10),
  ...{ night: null, why: [], hours: days.slice(24 * i, 24 * (i + 1)) },
}));
const ran = ({ hours }: Evidence) => hours.some(({ driveKwhMinPerL }) => driveKwhMinPerL > 0);
const datesOf = (counting: readonly Evidence[]) => counting.map(({ date }) => date.slice(5));

test('under another cover no day counts, the day of the change for neither', () => {
  const near = evidence.slice(19, 24); // 20th to 24th
  const counting = (t: string) =>
    datesOf(countingAt(logged(told('cover-changed')), Date.parse(t))(near));
  expect(counting('2026-03-21T12:00:00Z')).toEqual(['03-20', '03-21']);
  // the night that ended on the 23rd began after noon of the 22nd, under the old cover perhaps
  expect(counting('2026-03-24T12:00:00Z')).toEqual(['03-24']);
  expect(countingAt(always(), CHANGED)(near)).toEqual(near);
});

test('a cleaned filter leaves the nights, and takes the hours with water running', () => {
  const counting = (t: string) =>
    countingAt(logged(told('filter-cleaned')), Date.parse(t))(evidence);
  const after = counting('2026-03-22T23:59:59Z');
  expect(after).toHaveLength(evidence.length);
  expect(datesOf(after.filter(ran))).toEqual(datesOf(evidence.slice(22).filter(ran)));
  const before = counting('2026-03-10T12:00:00Z');
  expect(datesOf(before.filter(ran))).toEqual(datesOf(evidence.slice(0, 21).filter(ran)));
});

test('the flow after a cleaned filter is learned from the days after it alone', () => {
  const versions = logged(told('filter-cleaned'));
  const { settings } = versions[0]!;
  const flow = (t: string) => {
    const at = Date.parse(t);
    const around = evidence.filter(({ date }) => {
      const aheadDays = (Date.parse(date) - at) / 86_400_000;
      return aheadDays > -22 && aheadDays < 14;
    });
    return learnedFrom(countingAt(versions, at)(around), settings).flowLPerMin;
  };
  expect(flow('2026-03-20T12:00:00Z').value).toBeCloseTo(1.8, 0);
  for (const t of ['2026-03-22T23:59:59Z', '2026-03-30T12:00:00Z']) {
    const { value, basis } = flow(t);
    expect(basis).toBe('learned');
    expect(Math.abs(value / 4 - 1)).toBeLessThan(0.06);
  }
});

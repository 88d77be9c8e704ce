import { expect, test } from 'vitest';
import { learnedFrom } from '../../model/learned.ts';
import { type Quarter, workOut } from '../../model/ledger.ts';
import type { LogEntry, LogKind } from '../../model/owner-log.ts';
import { withLog } from '../../model/owner-log-settings.ts';
import { HOUR } from '../../model/readings.ts';
import { disturbances } from '../../model/undisturbed.ts';
import { always, rows, tracesOf } from './traces.ts';

const start = Date.parse('2026-03-01T10:00:00Z');
const S = 4 * 3600;

/** Four hours of a loop whose pump is told to rest while its sensors see 4 l/min, 5 K warmer. */
const still = {
  'tub/temperature': rows(0, S, 30, 36),
  'collector/temperature': rows(0, S, 30, 45),
  'collector/inlet': rows(0, S, 30, 36),
  'collector/outlet': rows(0, S, 30, 41),
  'pump/flow': rows(0, S, 30, 4),
};
const resting = { ...still, 'pump/running': rows(0, S, 3600, 0) };
const running = { ...still, 'pump/running': rows(0, S, 3600, 1) };

const told = (kind: LogKind, fromH: number, untilH: number | null = null): LogEntry => ({
  id: `${kind} ${fromH}`,
  kind,
  from: start + fromH * HOUR,
  until: untilH === null ? null : start + untilH * HOUR,
  data: null,
  note: null,
});

function ledger(points: Record<string, [number, number][]>, log: LogEntry[] = []): Quarter[] {
  const traces = tracesOf(start, points);
  return workOut(withLog(always(), log), traces, start, start + S * 1000, start + S * 1000);
}

/** What the quarters of each hour say. */
const byHour = <T>(quarters: Quarter[], of: (quarter: Quarter) => T): T[] =>
  [0, 1, 2, 3].map((h) => {
    const said = quarters.slice(4 * h, 4 * h + 4).map(of);
    expect(new Set(said.map((value) => JSON.stringify(value))).size).toBe(1);
    return said[0]!;
  });

test('flow while the pump rests counts as heat from when the owner confirmed it, no longer than that', () => {
  const asWith = ledger(running)[0]!.gainKwh!;
  expect(asWith).toBeGreaterThan(0.3);
  expect(byHour(ledger(resting), ({ gainKwh }) => gainKwh)).toEqual([0, 0, 0, 0]);
  const gains = (log: LogEntry[], points = resting) =>
    byHour(ledger(points, log), ({ gainKwh }) => Math.round(gainKwh! * 1e9) / 1e9);
  const whole = Math.round(asWith * 1e9) / 1e9;
  expect(gains([told('flow-confirmed', 2)])).toEqual([0, 0, whole, whole]);
  expect(gains([told('flow-confirmed', 1, 3)])).toEqual([0, whole, whole, 0]);
  expect(gains([told('flow-confirmed', 0)], running)).toEqual([whole, whole, whole, whole]);
});

test('so does a counter that rises while the pump rests', () => {
  const { 'pump/flow': _, ...others } = resting;
  const counted = { ...others, 'pump/volume': rows(0, S, 60, (s) => s / 15) };
  const litres = (log: LogEntry[]) => byHour(ledger(counted, log), (q) => Math.round(q.litres!));
  expect(litres([])).toEqual([0, 0, 0, 0]);
  expect(litres([told('flow-confirmed', 2)])).toEqual([0, 0, 60, 60]);
});

test('a bath and a change of water disturb the tub as an open cover does', () => {
  const why = (log: LogEntry[], points: typeof still = still) => {
    const quarters = ledger(points, log);
    const settings = always({ backup: { kind: 'none' } })[0]!.settings;
    const all = disturbances(quarters, settings);
    return byHour(quarters, (quarter) => all[quarters.indexOf(quarter)]!);
  };
  expect(why([])).toEqual([null, null, null, null]);
  expect(why([told('bathing', 1, 2)])).toEqual([null, 'cover open', null, null]);
  expect(why([told('water-changed', -1)])).toEqual(['cover open', 'cover open', null, null]);
  const shut = { ...still, 'tub/cover': rows(0, S, 60, 1) };
  expect(why([told('bathing', 1, 2)], shut)).toEqual([null, 'cover open', null, null]);
});

test('of a drained tub no temperature is known, and nothing is estimated', () => {
  const quarters = ledger(running, [told('drained', 1), told('in-use', 3)]);
  expect(byHour(quarters, ({ tubC }) => tubC)).toEqual([36, null, null, 36]);
  const driving = byHour(
    quarters,
    ({ driveMs, driveKwhMinPerL }) => driveMs > 0 && driveKwhMinPerL! > 0,
  );
  expect(driving).toEqual([true, false, false, true]);
});

test('an entry that changes no sum leaves every quarter as it was, wherever it cuts', () => {
  const before = ledger(running);
  for (const kind of [
    'away',
    'filter-cleaned',
    'sensor-moved',
    'cover-changed',
    'remark',
  ] as const) {
    expect(ledger(running, [told(kind, 1.1, 2.3)])).toEqual(before);
  }
});

test('a bucket test is worked with as it was measured, less what pipes take, with the doubt of both', () => {
  const data = { lPerMin: 5, uncertaintyLPerMin: 0.1 };
  const [first] = withLog(always(), [{ ...told('bucket-test', 0), data }]);
  const { flowLPerMin } = learnedFrom([], first!.settings);
  expect(flowLPerMin).toMatchObject({ value: 0.93 * 5, basis: 'set-up' });
  expect(flowLPerMin.uncertainty).toBeCloseTo(Math.hypot(0.93 * 0.1, 0.04 * 5), 12);
  const entered = learnedFrom([], always({ loop: { flowLPerMin: 5 } })[0]!.settings).flowLPerMin;
  expect(flowLPerMin.uncertainty).toBeLessThan(entered.uncertainty / 4);
});

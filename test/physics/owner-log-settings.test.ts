import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type LogEntry, type LogKind, logKinds } from '../../model/owner-log.ts';
import { drainedSince, withLog } from '../../model/owner-log-settings.ts';
import { HOUR, QUARTER } from '../../model/readings.ts';
import type { SettingsVersion, TubSettings } from '../../model/tub-settings.ts';
import { always } from './traces.ts';

const T0 = Date.parse('2026-03-01T08:00:00Z');
const DAY = 24 * HOUR;

let entries = 0;
const told = (kind: LogKind, from: number, more: Partial<LogEntry> = {}): LogEntry => ({
  id: `e${++entries}`,
  kind,
  from,
  until: null,
  data: null,
  note: null,
  ...more,
});

const at = (versions: readonly SettingsVersion[], t: number): TubSettings =>
  versions.findLast(({ from }) => from <= t)!.settings;
const starts = (versions: readonly SettingsVersion[]) => versions.map(({ from }) => from);

test('without entries, and with a remark, the settings are what they were', () => {
  const versions = always();
  expect(withLog(versions, [])).toEqual(versions);
  for (const kind of ['remark', 'cup-check', 'not-a-fault', 'in-use'] as const) {
    expect(withLog(versions, [told(kind, T0)])).toEqual(versions);
  }
  expect(withLog([], [told('bathing', T0)])).toEqual([]);
});

test('a bath differs from its beginning to its end, and for two hours where no end was told', () => {
  const folded = withLog(always(), [told('bathing', T0, { until: T0 + HOUR })]);
  expect(starts(folded)).toEqual([Number.NEGATIVE_INFINITY, T0, T0 + HOUR]);
  expect(folded.map(({ settings }) => settings.owner.bathing)).toEqual([false, true, false]);
  expect(folded[2]!.settings).toEqual(folded[0]!.settings);
  expect(starts(withLog(always(), [told('bathing', T0)]))[2]).toBe(T0 + 2 * HOUR);
});

test('of two baths that overlap the later end counts, whichever was told first', () => {
  const [a, b] = [
    told('bathing', T0, { until: T0 + 3 * HOUR }),
    told('bathing', T0 + HOUR, { until: T0 + 2 * HOUR }),
  ];
  for (const entries of [
    [a, b],
    [b, a],
  ]) {
    expect(starts(withLog(always(), entries)).slice(1)).toEqual([T0, T0 + 3 * HOUR]);
  }
});

test('a change of water is felt three hours before and after it', () => {
  const folded = withLog(always(), [told('water-changed', T0)]);
  const changing = (t: number) => at(folded, t).owner.changingWater;
  expect(
    [T0 - 3 * HOUR - 1, T0 - 3 * HOUR, T0 + 3 * HOUR - 1, T0 + 3 * HOUR].map(changing),
  ).toEqual([false, true, true, false]);
  expect(at(folded, T0 + DAY).owner.waterChangedAt).toBe(T0);
});

test('a tub is drained until it is in use again, or until the end that was told', () => {
  const log = [told('drained', T0), told('in-use', T0 + 5 * DAY), told('in-use', T0 + 9 * DAY)];
  const folded = withLog(always(), log);
  expect(starts(folded).slice(1)).toEqual([T0, T0 + 5 * DAY]);
  expect(folded.map(({ settings }) => settings.owner.drained)).toEqual([false, true, false]);
  expect(drainedSince(log, T0 - 1)).toBeNull();
  expect(drainedSince(log, T0 + DAY)).toBe(T0);
  expect(drainedSince(log, T0 + 5 * DAY)).toBeNull();
  const early = withLog(always(), [{ ...log[0]!, until: T0 + DAY }, log[1]!]);
  expect(starts(early).slice(1)).toEqual([T0, T0 + DAY]);
  expect(at(withLog(always(), [log[0]!]), T0 + 1000 * DAY).owner.drained).toBe(true);
});

test('flow with the pump at rest is confirmed from then on, or until the end that was told', () => {
  const forGood = withLog(always(), [told('flow-confirmed', T0)]);
  expect(at(forGood, T0 - 1).owner.flowConfirmed).toBe(false);
  expect(at(forGood, T0 + 1000 * DAY).owner.flowConfirmed).toBe(true);
  const once = withLog(always(), [told('flow-confirmed', T0, { until: T0 + DAY })]);
  expect(starts(once).slice(1)).toEqual([T0, T0 + DAY]);
});

const bucket = (from: number, lPerMin: number) =>
  told('bucket-test', from, { data: { lPerMin, uncertaintyLPerMin: 0.1 } });
const flowAt = (versions: readonly SettingsVersion[], t: number) =>
  at(versions, t).loop.flowLPerMin;

test('a bucket test tells the flow from its time on, the first one of all time before too', () => {
  const folded = withLog(always(), [bucket(T0 + DAY, 3.9), bucket(T0, 4.2)]);
  expect(starts(folded)).toEqual([Number.NEGATIVE_INFINITY, T0 + DAY]);
  expect(folded.map(({ settings }) => settings.loop.flowLPerMin)).toEqual([4.2, 3.9]);
  expect(folded[0]!.settings.loop.flowUncertaintyLPerMin).toBe(0.1);
  expect(folded[0]!.settings.said.flowLPerMin).toBe(true);
});

test('a flow that the set-up names after a test takes its place, until the next test', () => {
  const [first] = always({ loop: { flowLPerMin: 3 } });
  const [second] = always({ loop: { flowLPerMin: 5 } });
  const versions = [first!, { ...second!, from: T0 + 2 * DAY }];
  const folded = withLog(versions, [bucket(T0, 4.2), bucket(T0 + 4 * DAY, 4.4)]);
  const days = [-9, 1, 3, 5].map((day) => flowAt(folded, T0 + day * DAY));
  expect(days).toEqual([4.2, 4.2, 5, 4.4]);
  expect(at(folded, T0 + 3 * DAY).loop.flowUncertaintyLPerMin).toBeNull();
  const [other] = always({ loop: { flowLPerMin: 3, pipeMetres: 30 } });
  const longer = withLog([first!, { ...other!, from: T0 + 2 * DAY }], [bucket(T0, 4.2)]);
  expect(flowAt(longer, T0 + 3 * DAY), 'another change leaves the test in force').toBe(4.2);
  expect(at(longer, T0 + 3 * DAY).loop.pipeMetres).toBe(30);
});

test('sensors that were moved are remembered by point', () => {
  const moved = (from: number, point?: string) =>
    told('sensor-moved', from, point ? { data: { point } } : {});
  const folded = withLog(always(), [
    moved(T0, 'tub/temperature'),
    moved(T0 + DAY),
    moved(T0 + 2 * DAY, 'collector/inlet'),
  ]);
  expect(at(folded, T0 + 3 * DAY).owner.movedAt).toEqual({
    'tub/temperature': T0,
    '*': T0 + DAY,
    'collector/inlet': T0 + 2 * DAY,
  });
});

const anyEntry = fc.record({
  kind: fc.constantFrom(...logKinds),
  from: fc.integer({ min: T0, max: T0 + 30 * DAY }),
  lasts: fc.option(fc.integer({ min: 1, max: 3 * DAY })),
});

test('whatever is told, in any order: cuts lie on whole quarters, apart, and each changes something', () => {
  fc.assert(
    fc.property(fc.array(anyEntry, { maxLength: 40 }), fc.integer(), (said, seed) => {
      const log = said.map(({ kind, from, lasts }, i) =>
        told(kind, from, {
          id: `e${i}`,
          until: lasts === null ? null : from + lasts,
          data: kind === 'bucket-test' ? { lPerMin: 4 + (from % 7) / 10 } : null,
        }),
      );
      const versions = [
        ...always(),
        { ...always({ tub: { litres: 900 } })[0]!, from: T0 + 5 * DAY + 7 },
      ];
      const folded = withLog(versions, log);
      expect(folded[0]!.from).toBe(Number.NEGATIVE_INFINITY);
      for (let i = 1; i < folded.length; i++) {
        const { from, settings } = folded[i]!;
        expect(from).toBeGreaterThan(folded[i - 1]!.from);
        if (from !== T0 + 5 * DAY + 7) expect(from % QUARTER).toBe(0);
        expect(settings).not.toEqual(folded[i - 1]!.settings);
      }
      const shuffled = log.toSorted(
        (a, b) => ((a.from * 31 + seed) % 101) - ((b.from * 31 + seed) % 101),
      );
      expect(withLog(versions, shuffled)).toEqual(folded);
      for (const { kind, from, until } of log) {
        if (kind === 'bathing') {
          expect(at(folded, from).owner.bathing).toBe(true);
          expect(at(folded, (until ?? from + 2 * HOUR) - 1).owner.bathing).toBe(true);
        }
      }
    }),
    { numRuns: 200, seed: 20260301 },
  );
});

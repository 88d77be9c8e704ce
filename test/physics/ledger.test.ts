import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { heatCoefficient } from '../../model/heat-coefficient.ts';
import { ledgerPoints, type Quarter, reach, workOut } from '../../model/ledger.ts';
import { HOUR, QUARTER, type Traces } from '../../model/readings.ts';
import { tubSettings } from '../../model/tub-settings.ts';
import { always, place, rows, tracesOf } from './traces.ts';

const start = Date.parse('2026-03-01T10:00:00Z');
const hourS = 3600;

/** An hour of 4 l/min that comes back 5 K warmer, read every ten seconds. */
const steady = {
  'collector/inlet': rows(0, hourS, 10, 36),
  'collector/outlet': rows(0, hourS, 10, 41),
  'pump/flow': rows(0, hourS, 10, 4),
};
const steadyKwh = (heatCoefficient(41, 36, 'inlet')! * 240 * 5) / 3600;

const sum = (quarters: Quarter[], key: 'gainKwh' | 'lostKwh' | 'coveredMs' | 'litres') =>
  quarters.reduce((total, quarter) => total + (quarter[key] ?? 0), 0);

function hour(points: Record<string, [number, number][]>, said = {}): Quarter[] {
  const traces = tracesOf(start, points);
  return workOut(always(said), traces, start, start + HOUR, newestOf(traces));
}

function newestOf(traces: Traces): number {
  return Math.max(start, ...[...traces.values()].map(({ t }) => t.at(-1) ?? start));
}

describe('metered heat', () => {
  test('is k · V · ΔT for a steady loop', () => {
    const quarters = hour(steady);
    expect(quarters).toHaveLength(4);
    expect(sum(quarters, 'gainKwh')).toBeCloseTo(steadyKwh, 6);
    expect(sum(quarters, 'lostKwh')).toBe(0);
    expect(sum(quarters, 'litres')).toBeCloseTo(240, 6);
    expect(sum(quarters, 'coveredMs')).toBe(HOUR);
    expect(quarters.every(({ basis }) => basis === 'measured')).toBe(true);
  });

  test('tells the two places of the flow sensor apart', () => {
    const inlet = sum(hour(steady), 'gainKwh');
    const outlet = sum(hour(steady, { loop: { flowSensorAt: 'outlet' } }), 'gainKwh');
    expect(outlet / inlet).toBeCloseTo(
      heatCoefficient(41, 36, 'outlet')! / heatCoefficient(41, 36, 'inlet')!,
      6,
    );
  });

  test('is counted apart where the loop carries heat out, and parted where the sign changes', () => {
    const turning = {
      ...steady,
      'collector/outlet': rows(0, hourS, hourS / 2, (s) => 41 - s / 360),
    };
    const quarters = hour(turning, { longestGapMin: { 'collector/outlet': 40 } });
    expect(sum(quarters, 'gainKwh')).toBeCloseTo(steadyKwh / 4, 3);
    expect(sum(quarters, 'lostKwh')).toBeCloseTo(steadyKwh / 4, 3);
  });

  test('bridges no gap in a temperature', () => {
    const gap = steady['collector/outlet'].filter(([s]) => s <= 900 || s >= 2400);
    const quarters = hour({ ...steady, 'collector/outlet': gap });
    expect(sum(quarters, 'coveredMs')).toBe(HOUR - 1_500_000);
    expect(sum(quarters, 'gainKwh')).toBeCloseTo((steadyKwh * 2100) / 3600, 6);
    expect(quarters[1]!.gainKwh).toBeNull();
  });

  test('holds a flow for at most its longest gap', () => {
    const quarters = hour({ ...steady, 'pump/flow': [[0, 4]] });
    expect(sum(quarters, 'coveredMs')).toBe(600_000);
  });

  test('is not counted beyond the newest reading of a temperature', () => {
    const quarters = hour({ ...steady, 'collector/inlet': rows(0, 1800, 10, 36) });
    expect(sum(quarters, 'coveredMs')).toBe(1_800_000);
  });

  test('leaves the same from readings every ten seconds or every minute', () => {
    const wavy = (s: number) => 41 + 3 * Math.sin(s / 400);
    const fine = hour({ ...steady, 'collector/outlet': rows(0, hourS, 10, wavy) });
    const coarse = hour({ ...steady, 'collector/outlet': rows(0, hourS, 60, wavy) });
    expect(sum(coarse, 'gainKwh') / sum(fine, 'gainKwh')).toBeCloseTo(1, 3);
  });

  test('invents nothing when a cold pipe warms after a pump start between two readings', () => {
    const startS = 1830;
    const quarters = hour({
      'collector/inlet': rows(0, hourS, 60, 36),
      'collector/outlet': rows(0, hourS, 60, (s) => (s < startS ? 60 : 41)), // sun on the idle pipe
      'pump/flow': rows(0, hourS, 60, (s) => (s < startS ? 0 : 4)),
      'pump/running': rows(0, hourS, 30, (s) => (s < startS ? 0 : 1)),
    });
    expect(sum(quarters, 'gainKwh')).toBeCloseTo((steadyKwh * (3600 - startS)) / 3600, 6);
  });

  test('counts no flow while the pump is known to rest', () => {
    const quarters = hour({ ...steady, 'pump/running': [[0, 0]] });
    expect(sum(quarters, 'gainKwh')).toBe(0);
    expect(sum(quarters, 'coveredMs')).toBe(HOUR);
  });

  test('counts flow where nothing is heard of the pump', () => {
    expect(sum(hour(steady), 'gainKwh')).toBeGreaterThan(1);
  });

  test('leaves water near boiling uncovered, by the height of the place', () => {
    const hot = { ...steady, 'collector/outlet': rows(0, hourS, 10, 93) };
    expect(sum(hour(hot), 'coveredMs')).toBe(HOUR);
    const high = { place: { ...place, elevationM: 1500 } };
    expect(sum(hour(hot, high), 'coveredMs')).toBe(0);
  });

  test('leaves impossible values out and keeps their neighbours', () => {
    const spoilt = steady['collector/outlet'].map(([s, value]): [number, number] => {
      if (s === 600) return [s, -127];
      if (s === 1200) return [s, 85];
      return [s, value];
    });
    const quarters = hour({ ...steady, 'collector/outlet': spoilt });
    expect(sum(quarters, 'gainKwh')).toBeCloseTo(steadyKwh, 6);
  });

  test('takes 85.0 °C for true where a collector passes smoothly through it', () => {
    const through = rows(0, hourS, 10, (s) => 75 + s / 180);
    expect(through.some(([, value]) => value === 85)).toBe(true);
    const quarters = hour({ ...steady, 'collector/outlet': through });
    expect(sum(quarters, 'coveredMs')).toBe(HOUR);
  });

  test('applies a correction to what is worked out', () => {
    const corrected = hour(steady, { corrections: { 'collector/inlet': { offset: -1 } } });
    expect(sum(corrected, 'gainKwh') / steadyKwh).toBeCloseTo(6 / 5, 3);
  });

  test('takes off what the pipes lose where the pair sits at the collectors', () => {
    const atCollectors = hour(steady, { loop: { pairAt: 'collectors', pipeMetres: 24 } });
    const pipesKwh = (0.25 * 24 * (38.5 - 15)) / 1000; // nothing is heard of the air: 15 °C
    expect(sum(atCollectors, 'gainKwh')).toBeCloseTo(steadyKwh - pipesKwh, 6);
    expect(atCollectors[0]!.lossUncertaintyKwh).toBeGreaterThan(0);
  });

  test('with antifreeze on the collectors’ side is less and estimated', () => {
    const loop = { fluid: 'antifreeze', meterSide: 'collector' } as const;
    const quarters = hour(steady, { loop });
    expect(sum(quarters, 'gainKwh')).toBeCloseTo(0.93 * steadyKwh, 6);
    expect(quarters[0]!.basis).toBe('estimated');
    expect(quarters[0]!.measuredKwh).toBe(0);
  });
});

describe('a volume counter', () => {
  const counted = {
    ...steady,
    'pump/flow': [],
    'pump/volume': rows(0, hourS, 60, (s) => 100 + s / 15),
  };

  test('gives the volume itself', () => {
    expect(sum(hour(counted as never), 'gainKwh')).toBeCloseTo(steadyKwh, 6);
  });

  test('counts nothing at a reset and goes on from there', () => {
    const reset = rows(0, hourS, 60, (s) => (s < 1800 ? 100 : -120) + s / 15);
    const quarters = hour({ ...counted, 'pump/volume': reset } as never);
    expect(sum(quarters, 'litres')).toBeCloseTo(236, 6);
    expect(sum(quarters, 'coveredMs')).toBe(HOUR - 60_000);
  });

  test('counts no step that such a pump could not make', () => {
    const jump = rows(0, hourS, 60, (s) => (s < 1800 ? 0 : 500) + s / 15);
    expect(sum(hour({ ...counted, 'pump/volume': jump } as never), 'litres')).toBeCloseTo(236, 6);
  });

  test('that rises in coarse steps loses none of them', () => {
    const coarse = rows(0, hourS, 10, (s) => 10 * Math.floor(s / 150));
    const quarters = hour({ ...counted, 'pump/volume': coarse } as never);
    expect(sum(quarters, 'litres')).toBeCloseTo(240, 6);
  });

  test('is spread over the time in which the pump ran', () => {
    const quarters = hour({
      ...counted,
      'pump/volume': [
        [0, 0],
        [1800, 100],
        [3600, 100],
      ],
      'pump/running': [
        [0, 0],
        [900, 1],
        [1800, 0],
      ],
    } as never);
    const litres = quarters.map((quarter) => quarter.litres);
    expect(litres).toEqual([0, expect.closeTo(100, 9), 0, 0]);
  });
});

test('uncertainty grows with what a pair cannot tell apart and is smaller for a zeroed one', () => {
  const plain = hour(steady)[0]!;
  const day = { zeroedOn: '2026-03-02' };
  const sensors = { 'collector/inlet': day, 'collector/outlet': day };
  const zeroed = hour(steady, { sensors })[0]!;
  // Two sensors of ±0.5 K, each a rectangle: u(ΔT) = 0.5 · √(2/3) K of 5 K.
  expect(plain.pairUncertaintyKwh / plain.gainKwh!).toBeCloseTo((0.5 * Math.sqrt(2 / 3)) / 5, 3);
  expect(zeroed.pairUncertaintyKwh / zeroed.gainKwh!).toBeCloseTo(0.1 / 5, 3);
  expect(plain.flowUncertaintyKwh / plain.gainKwh!).toBeCloseTo(0.1 / Math.sqrt(3), 6);
});

test('a thermometer that follows late leaves the truth of short runs within twice the doubt', () => {
  const [lagS, runS, everyS] = [60, 120, 600];
  const runs = (s: number) => s % everyS >= 300 && s % everyS < 300 + runS;
  let felt = 20;
  const outlet = rows(0, hourS, 1, (s) => {
    felt += ((runs(s) ? 41 : 20) - felt) / lagS;
    return felt;
  }).filter(([s]) => s % 10 === 0);
  const quarters = hour({
    'collector/inlet': rows(0, hourS, 10, 36),
    'collector/outlet': outlet,
    'pump/flow': rows(0, hourS, 10, (s) => (runs(s) ? 4 : 0)),
    'pump/running': rows(0, hourS, 10, (s) => (runs(s) ? 1 : 0)),
  });
  const trueKwh = (heatCoefficient(41, 36, 'inlet')! * 4 * 2 * 6 * 5) / 3600;
  const told = sum(quarters, 'gainKwh') - sum(quarters, 'lostKwh');
  const doubt = quarters.reduce((total, quarter) => total + quarter.pairUncertaintyKwh, 0);
  const error = told - trueKwh;
  process.stdout.write(
    `late thermometer: ${error.toFixed(3)} kWh off, u ${doubt.toFixed(3)} kWh\n`,
  );
  expect(Math.abs(error)).toBeGreaterThan(0.5 * trueKwh); // far more than the sensors' class allows
  expect(Math.abs(error)).toBeLessThan(2 * doubt);
});

test('a set-up that changes within a quarter holds from its instant on', () => {
  const change = start + 300_000;
  const corrected = { id: 'tub', place, corrections: { 'collector/outlet': { offset: 5 } } };
  const versions = [...always(), { from: change, settings: tubSettings(corrected) }];
  const [first] = workOut(versions, tracesOf(start, steady), start, start + QUARTER, start + HOUR);
  expect(first!.gainKwh! / (steadyKwh / 4)).toBeCloseTo(1 / 3 + (2 / 3) * 2, 2);
  expect(first!.coveredMs).toBe(QUARTER);
});

/** Anything that sensors might say over six hours: gaps, faults, pump changes, resets. */
const trace = (value: fc.Arbitrary<number>, longestStepS: number) =>
  fc
    .array(fc.tuple(fc.integer({ min: 1, max: longestStepS }), value), { maxLength: 150 })
    .map((steps) => {
      let s = -3 * hourS;
      return steps.map(([step, v]): [number, number] => {
        s += step;
        return [s, v];
      });
    });
const temperature = fc.oneof(
  { weight: 8, arbitrary: fc.double({ min: 5, max: 99, noNaN: true }) },
  fc.constantFrom(85, -127, 127.94),
);
const anyTraces: fc.Arbitrary<Traces> = fc
  .record({
    'collector/inlet': trace(temperature, 900),
    'collector/outlet': trace(temperature, 900),
    'tub/temperature': trace(temperature, 900),
    'pump/flow': trace(fc.constantFrom(0, 0, 2.5, 4, 9), 900),
    'pump/volume': trace(fc.integer({ min: 0, max: 300 }), 1500),
    'pump/running': trace(fc.constantFrom(0, 1), 4000),
    'pump/power': trace(fc.constantFrom(0, 12, 13), 900),
    'outdoor/temperature': trace(fc.double({ min: -10, max: 30, noNaN: true }), 900),
    'collector/temperature': trace(temperature, 900),
    'collector/irradiance': trace(fc.double({ min: -5, max: 1100, noNaN: true }), 900),
    'tub/cover': trace(fc.constantFrom(0, 1), 4000),
    'backup/power': trace(fc.constantFrom(0, 2000), 900),
    'backup/energy': trace(fc.double({ min: 0, max: 9, noNaN: true }), 1500),
    'filter/running': trace(fc.constantFrom(0, 1), 4000),
  })
  .map((points) => tracesOf(start, points));

function cut(traces: Traces, from: number, to: number): Traces {
  const { beforeMs, afterMs, nearestMs } = reach(always()[0]!.settings);
  return new Map(
    ledgerPoints.map((point) => {
      const { t, v } = traces.get(point)!;
      const earliest = from - beforeMs(point);
      const first = t.findIndex((time) => time >= earliest);
      const within = t.findLastIndex((time) => time < to + afterMs) + 1;
      const nearest = first > 0 && t[first - 1]! >= earliest - nearestMs(point) ? first - 1 : first;
      const begin = first < 0 ? Math.max(0, t.length - 1) : Math.max(0, nearest);
      return [point, { t: t.slice(begin, within), v: v.slice(begin, within) }];
    }),
  );
}

test('the ledger is the same to the last digit however the work is cut', () => {
  const versions = always({ loop: { pairAt: 'collectors' } });
  fc.assert(
    fc.property(anyTraces, (traces) => {
      const newest = newestOf(traces);
      const whole = workOut(versions, traces, start, start + 3 * HOUR, newest);
      const parts: Quarter[] = [];
      for (let q = start; q < start + 3 * HOUR; q += QUARTER) {
        parts.push(...workOut(versions, cut(traces, q, q + QUARTER), q, q + QUARTER, newest));
      }
      expect(parts).toEqual(whole);
    }),
    { numRuns: 300 },
  );
});

test('a counter after a long silence counts the same however far back one looks', () => {
  const minute = 60;
  const counter: [number, number][] = [
    [-200 * minute, 0],
    [0, 100],
    [10 * minute, 500], // more than a pump of this size moves in ten minutes
    [20 * minute, 540],
  ];
  const litres = (heard: [number, number][]) => sum(hour({ 'pump/volume': heard }), 'litres');
  expect(litres(counter)).toBeCloseTo(40, 9);
  expect(litres(counter.slice(1))).toBeCloseTo(40, 9);
});

test('gain and lost are never negative, coverage never above the quarter, nothing is NaN', () => {
  fc.assert(
    fc.property(anyTraces, (traces) => {
      const newest = newestOf(traces);
      for (const quarter of workOut(always(), traces, start, start + 3 * HOUR, newest)) {
        for (const value of Object.values(quarter)) {
          if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true);
        }
        expect(quarter.gainKwh ?? 0).toBeGreaterThanOrEqual(0);
        expect(quarter.lostKwh ?? 0).toBeGreaterThanOrEqual(0);
        expect(quarter.coveredMs).toBeLessThanOrEqual(QUARTER);
        expect(quarter.gainKwh === null).toBe(quarter.coveredMs === 0);
      }
    }),
    { numRuns: 300 },
  );
});

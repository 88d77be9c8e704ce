import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { workOut } from '../../model/ledger.ts';
import { HOUR } from '../../model/readings.ts';
import { always, rows, tracesOf } from './traces.ts';

const start = Date.parse('2026-07-04T10:00:00Z');
const hourS = 3600;
const lPerMin = 5;

interface Run {
  from: number; // s
  to: number;
}

/** Seconds of a span in which the pump ran. */
const turned = (runs: readonly Run[], from: number, to: number): number =>
  runs.reduce((s, run) => s + Math.max(0, Math.min(to, run.to) - Math.max(from, run.from)), 0);

const litresOf = (runs: readonly Run[]): number => (turned(runs, 0, hourS) * lPerMin) / 60;

const states = (runs: readonly Run[]): [number, number][] => [
  [0, 0],
  ...runs.flatMap(({ from, to }): [number, number][] => [
    [from, 1],
    [to, 0],
  ]),
];

/** A board that counts pulses and tells their mean since it last looked. */
const means = (runs: readonly Run[], everyS: number, phaseS: number) =>
  rows(phaseS, hourS, everyS, (s) => (lPerMin * turned(runs, s - everyS, s)) / everyS);

/** A board that tells the flow of the moment. */
const moments = (runs: readonly Run[], everyS: number, phaseS: number) =>
  rows(phaseS, hourS, everyS, (s) => (turned(runs, s - 1, s) > 0 ? lPerMin : 0));

/** What a board sends that is silent while nothing changes, but for a heartbeat. */
function onChange(told: readonly [number, number][], heartbeatS: number): [number, number][] {
  const sent: [number, number][] = [];
  for (const [s, value] of told) {
    const last = sent.at(-1);
    const isNews = !last || Math.abs(value - last[1]) >= 0.1 || s - last[0] >= heartbeatS;
    if (isNews) sent.push([s, value]);
  }
  return sent;
}

function toldLitres(runs: readonly Run[], flow: [number, number][]): number {
  const traces = tracesOf(start, {
    'collector/inlet': rows(0, hourS, 10, 36),
    'collector/outlet': rows(0, hourS, 10, 41),
    'pump/flow': flow,
    'pump/running': states(runs),
  });
  const quarters = workOut(always(), traces, start, start + HOUR, start + HOUR);
  return quarters.reduce((sum, { litres }) => sum + (litres ?? 0), 0);
}

/** Runs of `seconds` each, every ten minutes less a little, so that they meet readings in all ways. */
const runsOf = (seconds: number): Run[] =>
  Array.from({ length: 6 }, (_, i) => ({ from: 70 + i * 577, to: 70 + i * 577 + seconds }));

describe('a flow that is told each minute', () => {
  test.each([20, 45, 75, 150, 300])('loses none of runs of %i s where it is a mean', (seconds) => {
    const runs = runsOf(seconds);
    expect(toldLitres(runs, means(runs, 60, 0)) / litresOf(runs)).toBeCloseTo(1, 2);
  });

  test.each([75, 150, 300])('adds none to runs of %i s where it is of the moment', (seconds) => {
    const runs = runsOf(seconds);
    expect(toldLitres(runs, moments(runs, 60, 0)) / litresOf(runs)).toBeCloseTo(1, 2);
  });

  test('loses none where a board tells a mean of its own rounds only when it changes', () => {
    const runs = runsOf(150);
    const told = onChange(means(runs, 30, 10), 120);
    expect(toldLitres(runs, told) / litresOf(runs)).toBeCloseTo(1, 2);
  });

  test('rises slowly after a start without being taken for a mean of full flow', () => {
    const runs = [{ from: 600, to: 3000 }];
    const rising = (s: number) => Math.min(lPerMin, (lPerMin * Math.max(0, s - 600)) / 300);
    const flow = rows(0, hourS, 60, (s) => (s > 600 && s <= 3000 ? rising(s) : 0));
    const litres = (lPerMin * (2400 - 150)) / 60;
    expect(toldLitres(runs, flow) / litres).toBeGreaterThan(0.98);
    expect(toldLitres(runs, flow) / litres).toBeLessThan(1.02);
  });

  test('that seeps on after a stop never makes more of a run than a pump can move', () => {
    const runs = [{ from: 600, to: 601 }];
    const flow = rows(0, hourS, 60, (s) => (s > 600 ? 3 : 0));
    expect(toldLitres(runs, flow)).toBeLessThanOrEqual(12 / 60);
  });
});

test('means bring the water of any runs, told each half minute', () => {
  let worst = 0;
  const anyRuns = fc
    .array(fc.tuple(fc.integer({ min: 65, max: 400 }), fc.integer({ min: 15, max: 400 })), {
      minLength: 3,
      maxLength: 5,
    })
    .map((lengths) => {
      let at = 0;
      return lengths.map(([rest, run]) => {
        const from = at + rest;
        at = from + run;
        return { from, to: at };
      });
    })
    .filter((runs) => runs.at(-1)!.to < hourS - 120);
  fc.assert(
    fc.property(anyRuns, fc.integer({ min: 0, max: 29 }), (runs, phaseS) => {
      const error = toldLitres(runs, means(runs, 30, phaseS)) / litresOf(runs) - 1;
      worst = Math.max(worst, Math.abs(error));
      expect(Math.abs(error)).toBeLessThan(0.005);
    }),
    { numRuns: 200 },
  );
  process.stdout.write(`litres from means: largest error ${(100 * worst).toFixed(3)} %\n`);
});

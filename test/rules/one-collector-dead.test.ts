import { expect, test } from 'vitest';
import type { Trace } from '../../model/readings.ts';
import { oneCollectorDead } from '../../model/rules/one-collector-dead.ts';
import type { AnyRule } from '../../model/rules/rule.ts';
import { runningWithoutFlow } from '../../model/rules/running-without-flow.ts';
import { goRound } from './go-round.ts';
import { type LoopDays, loopDays } from './loop-days.ts';
import { judgedBy } from './past-days.ts';

const DAY = 86_400_000; // ms
const rules: AnyRule[] = [oneCollectorDead];
const level = [0, 0, 0];
const day = (risesK: readonly number[], offsK: readonly number[] | null = level) => ({
  risesK,
  offsK,
});
const three = <T>(one: T): T[] => [one, one, one];
const judged = (facts: readonly ReturnType<typeof day>[]) => judgedBy(oneCollectorDead, facts);

const sound = [3.4, 3.4, 3.2];

test('a collector with next to no rise on three days is told, and which one it is', () => {
  expect(judged([...three(day(sound)), ...three(day([3.4, -0.5, 3.2]))])).toMatchObject({
    since: Date.parse('2026-01-04'),
    evidence: { collector: 2, riseK: -0.5, othersRiseK: 3.3, days: 3 },
  });
});

test('a rise of two fifths of the others is not told, a little below that is', () => {
  expect(judged(three(day([3, 1.23, 3])))).toBe('between');
  expect(judged(three(day([3, 1.17, 3])))).toMatchObject({ evidence: { collector: 2 } });
});

test('two days of three are not told', () => {
  const dead = day([3.4, -0.5, 3.2]);
  expect(judged([day(sound), day(sound), dead, dead])).toBe('between');
});

test('it is gone when each gives three fifths of the others on three days again', () => {
  const dead = three(day([3.4, -0.5, 3.2]));
  const again = day([3, 1.9, 3]);
  expect(judged([...dead, again, again])).toBe('between');
  expect(judged([...dead, again, again, again])).toBe('gone');
  expect(judged([...dead, ...three(day([3, 1.7, 3]))])).toBe('between');
});

test('with fewer than three days, or another count of sensors within them, nothing can be told', () => {
  const dead = day([3.4, -0.5, 3.2]);
  expect(judged([])).toBe('blind');
  expect(judged([dead, dead])).toBe('blind');
  expect(judged([day([3.4, 3.2], [0, 0]), dead, dead])).toBe('blind');
});

test('a sensor that is off, as its nights tell, makes no collector dead', () => {
  expect(judged(three(day([3.4, 0.9, 5.7], [0, -2.5, 2.5])))).toBe('gone');
});

test('without nights to correct them, only a fall from its own days shows a dead one', () => {
  const off = day([3.4, 0.9, 5.7], null);
  expect(judged([...three(off), ...three(off)])).toBe('between');
  const fallen = day([3.4, -0.5, 3.2], null);
  expect(judged([...three(day(sound, null)), ...three(fallen)])).toMatchObject({
    evidence: { collector: 2 },
  });
});

test('the first of a row, which has no sensor before it, is told by its fall alone', () => {
  const low = day([0.9, 3.4, 3.2]);
  expect(judged([...three(low), ...three(low)])).toBe('between');
  expect(judged([...three(day(sound)), ...three(low)])).toMatchObject({
    evidence: { collector: 1 },
  });
});

/** Three collectors in a row; the shares of the whole rise that each gives. */
function row(made: LoopDays, sharesOn: (day: number) => readonly number[], offK = 0): LoopDays {
  const traces = new Map<string, Trace>(made.traces);
  const { t, v: lastC } = made.traces.get('collector/temperature')!;
  const tubC = made.traces.get('tub/temperature')!.v;
  for (const i of [0, 1, 2]) {
    const v = lastC.map((outC, at) => {
      const shares = sharesOn((t[at]! - made.from) / DAY);
      const share = shares.slice(0, i + 1).reduce((sum, one) => sum + one, 0);
      const isWarm = outC > tubC[at]!;
      const exactC = isWarm ? tubC[at]! + share * (outC - tubC[at]!) : outC;
      return exactC + (i === 1 ? offK : 0);
    });
    traces.set(`collector/${i + 1}/temperature`, { t, v });
  }
  return { ...made, traces };
}

const even = [0.34, 0.34, 0.32];
const made = loopDays({
  days: 10,
  everyMs: 300_000,
  tubC: 25,
  backupC: null,
  setup: { tub: { litres: 5000 } },
});

test('one that dies is told on the third day and ends when the three days after it are sound', () => {
  const dying = row(made, (since) => (since >= 3 && since < 6 ? [0.5, 0.02, 0.48] : even));
  const { raised } = goRound(dying, { rules });
  expect(raised).toHaveLength(1);
  expect((raised[0]!.raisedAt - made.from) / DAY).toBe(6);
  expect((raised[0]!.until! - made.from) / DAY).toBe(9);
  expect(raised[0]!.evidence.collector).toBe(2);
});

test('a sound row with a sensor that reads low is left alone', () => {
  const { raised, days } = goRound(
    row(made, () => even, -4),
    { rules },
  );
  expect(days.at(-1)!.facts['one-collector-dead']).toMatchObject({ offsK: [0, -4, 4] });
  expect(raised).toEqual([]);
});

test('nothing is learned while a pump is told to move no water', () => {
  const dry = loopDays({
    days: 7,
    everyMs: 300_000,
    tubC: 25,
    backupC: null,
    setup: { tub: { litres: 5000 } },
    happens: (scene) => {
      if (scene.day >= 2) scene.lPerMin = 0;
    },
  });
  const odd = row(dry, (since) => (since >= 2 ? [0.5, 0.02, 0.48] : even));
  const told = (all: AnyRule[]) => goRound(odd, { rules: all }).raised.map(({ fault }) => fault);
  expect(told(rules)).toEqual(['one-collector-dead']);
  expect(told([runningWithoutFlow, ...rules])).toEqual(['running-without-flow']);
});

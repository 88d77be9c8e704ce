import { expect, test } from 'vitest';
import { goRound } from './go-round.ts';
import { loopDays } from './loop-days.ts';

for (const kit of ['A', 'B', 'C'] as const) {
  test(`four healthy days of kit ${kit} raise nothing above a note`, () => {
    const made = loopDays({
      kit,
      days: 4,
      backupC: 33,
      setup: { tub: { targetC: 34 } },
      baths: [[18, 19.5]],
      everyMs: 60_000,
    });
    const { raised, days, rounds } = goRound(made);
    expect(raised.filter(({ severity }) => severity !== 'note')).toEqual([]);
    expect(days.length).toBeGreaterThanOrEqual(3);
    expect(rounds.t).toBe(made.to);
    const tub = made.traces.get('tub/temperature')!;
    const pumped = made.traces.get('pump/running')!.v.reduce((a, b) => a + b) / (60 * days.length);
    console.info(
      `kit ${kit}: tub ${Math.min(...tub.v).toFixed(1)}…${Math.max(...tub.v).toFixed(1)} °C, pump ${pumped.toFixed(1)} h a day`,
    );
    expect(pumped).toBeGreaterThan(2);
  });
}

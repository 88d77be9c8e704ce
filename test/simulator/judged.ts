import type { Day, ToldEvening } from '../../model/shapes.ts';
import type { House, Overrides } from './house.ts';
import type { Truth } from './truth.ts';

/** What was told of a simulated house, beside what truly was. */

/** An array that never brings a tub to its limit, below a changeable sky. */
export const small: Overrides<House> = {
  climate: { cloudy: 0.45 },
  array: { kind: 'glazed', count: 1, areaM2: 1.6, eta0: 0.74, a1: 4, a2: 0.012, tiltDeg: 45 },
};

/** A quantity as told, with its standard uncertainty, beside the truth [kWh]. */
export interface Compared {
  told: number;
  u: number;
  truth: number;
}

/** An evening as told, as it came, and as two naive guesses would have had it [°C]. */
export interface Judged {
  lowC: number;
  highC: number;
  cameC: number;
  asYesterdayC: number;
  asUsualC: number;
}

export const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);
export const mean = (values: readonly number[]): number => sum(values) / values.length;

const compared = (
  days: readonly Day[],
  told: (day: Day) => number | null,
  doubt: (day: Day) => number | null,
  truth: number,
): Compared => ({
  told: sum(days.map((day) => told(day) ?? 0)),
  u: sum(days.map((day) => doubt(day) ?? 0)),
  truth,
});

/** Net heat of the loop, beside what it truly brought. */
export const heatOf = (days: readonly Day[], { total }: Truth): Compared =>
  compared(
    days,
    ({ gainKwh, lostKwh }) => (gainKwh ?? 0) - (lostKwh ?? 0),
    ({ uncertaintyKwh }) => uncertaintyKwh,
    total.gainKwh - total.lostKwh,
  );

/** Useful heat and what it spared, beside a twin of the tub that has no loop. */
export function savedOf(days: readonly Day[], { total }: Truth) {
  const spared = total.twin.backupHeatKwh - total.backupHeatKwh;
  return {
    useful: compared(
      days,
      ({ usefulKwh }) => usefulKwh,
      ({ usefulUncertaintyKwh }) => usefulUncertaintyKwh,
      spared,
    ),
    saved: compared(
      days,
      ({ savedKwh }) => savedKwh,
      ({ savedUncertaintyKwh }) => savedUncertaintyKwh,
      total.savedKwh,
    ),
  };
}

const QUARTER = 900_000; // ms

/** The water at an instant, from the means of the quarters around it [°C]. */
function tubAt(truth: Truth, t: number): number | null {
  const index = Math.round((t - truth.from) / QUARTER);
  const [before, after] = [truth.quarters[index - 1], truth.quarters[index]];
  return before && after ? (before.tubC + after.tubC) / 2 : null;
}

/** How many days must have been seen before an evening is judged. */
const SEEN_DAYS = 5;

/** Each evening from the sixth on, as told and as it came. */
export function evenings(
  days: readonly (Day & { evening?: ToldEvening })[],
  truth: Truth,
): Judged[] {
  const came: { fromC: number; toC: number }[] = [];
  return days.flatMap(({ evening }) => {
    if (!evening || evening.lowC === null || evening.highC === null) return [];
    const fromC = tubAt(truth, Date.parse(evening.toldAt));
    const toC = tubAt(truth, Date.parse(evening.at));
    if (fromC === null || toC === null) return [];
    const past = came.slice();
    came.push({ fromC, toC });
    if (past.length < SEEN_DAYS) return [];
    const usualK = mean(past.map((each) => each.toC - each.fromC));
    return {
      lowC: evening.lowC,
      highC: evening.highC,
      cameC: toC,
      asYesterdayC: past.at(-1)!.toC,
      asUsualC: fromC + usualK,
    };
  });
}

export const misses = (days: readonly Judged[], guess: (day: Judged) => number): number =>
  mean(days.map((day) => Math.abs(day.cameC - guess(day))));
export const middle = ({ lowC, highC }: Judged): number => (lowC + highC) / 2;
export const holds = ({ lowC, highC, cameC }: Judged): boolean => lowC <= cameC && cameC <= highC;

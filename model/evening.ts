import { type Course, clearnessBefore, goesTo, sunsAlong } from './evening-course.ts';
import type { Learned } from './learned.ts';
import type { Quarter } from './ledger.ts';
import { QUARTER } from './readings.ts';
import type { TubSettings } from './tub-settings.ts';

/** A day on which one asks how warm the tub will be: what was known at the asking, and what came. */
export interface EveningDay {
  settings: TubSettings;
  learned: Learned;
  /** Of that day until it was asked, in order. */
  quarters: readonly Quarter[];
  /** Heat of a quarter as told [kWh]; null where it is not known. */
  netKwh: (quarter: Quarter) => number | null;
  askedAt: number;
  at: number;
  /** The tub when it was asked, and the air expected until the evening [°C]. */
  tubC: number;
  airC: number;
  /** The tub in the evening [°C]; null where it is still to come. */
  cameC: number | null;
}

/** What to expect of the tub in the evening [°C]. */
export interface Foreseen {
  lowC: number;
  middleC: number;
  /** The band from lowC to highC holds 8 evenings in 10. */
  highC: number;
  /** Past days that it rests on. */
  days: number;
}

/** Two looks ahead that bracket what skies do: going on as it was, and as the days usually are. */
interface Looks {
  persistsK: number;
  usualK: number;
}

/** Share that the present sky has in what comes, before past days have told better. */
const PERSISTENCE = 0.65;
/** How clear days are, before past days have told. */
const USUAL_CLEARNESS = 0.55;
/** How strongly the shares are held to what was thought before, in days of evidence. */
const HELD = 4;
/** What a look ahead misses before past days have told [K]: something always, more under much sun. */
const MISSES = { alwaysK: 0.3, ofSun: 0.3 };
/** Half of a band that holds 8 of 10 misses that are spread like a bell, in standard deviations. */
const EIGHT_IN_TEN = 1.2816;
const LEAST_HALF_WIDTH_K = 0.15;

/**
 * How warm the tub will be in the evening, from what the day has shown so far, corrected by how past
 * days went on from the same hour: baths by habit, shade, and the backup's ways are in their misses.
 *
 * @param past  earlier days asked at the same hour, with what came
 */
export function foreseen(today: EveningDay, past: readonly EveningDay[]): Foreseen {
  const known = past.filter(({ cameC }) => cameC !== null).map(seen);
  const usual = usualClearness(known);
  // Whether the backup works by itself is seen from which way of looking misses less.
  const [best] = [false, true]
    .map((withBackup) => lookedAhead(seen(today), known, usual, withBackup))
    .sort((a, b) => a.missed - b.missed);
  return best!.foreseen;
}

/** A day with its sky: how clear it had been when it was asked, if that showed, and a clear one's sun. */
interface Seen extends EveningDay {
  clearness: number | null;
  suns: Course['suns'];
}

const seen = (day: EveningDay): Seen => ({
  ...day,
  clearness: clearnessBefore(day.askedAt, day.quarters, day.netKwh, day.settings, day.learned),
  suns: sunsAlong(day.askedAt, day.at, day.settings),
});

function lookedAhead(
  today: Seen,
  known: readonly Seen[],
  usual: number,
  withBackup: boolean,
): { foreseen: Foreseen; missed: number } {
  const rows = known.map((day) => ({
    looks: looksOf(day, usual, withBackup),
    roseK: day.cameC! - day.tubC,
  }));
  const looks = looksOf(today, usual, withBackup);
  const middleC = today.tubC + predict(fitted(rows, -1), looks);
  const misses = rows.map(({ looks: each, roseK }, i) => roseK - predict(fitted(rows, i), each));
  const half = Math.max(LEAST_HALF_WIDTH_K, halfWidth(misses, looks));
  return {
    foreseen: { lowC: middleC - half, middleC, highC: middleC + half, days: known.length },
    missed: misses.reduce((sum, miss) => sum + Math.abs(miss), 0),
  };
}

function usualClearness(days: readonly Seen[]): number {
  const known = days.flatMap(({ clearness }) => clearness ?? []);
  const sum = known.reduce((total, clearness) => total + clearness, USUAL_CLEARNESS * HELD);
  return sum / (known.length + HELD);
}

function looksOf(day: Seen, usual: number, withBackup: boolean): Looks {
  const rise = (clearness: number) => goesTo(courseOf(day, clearness, withBackup)) - day.tubC;
  return { persistsK: rise(day.clearness ?? usual), usualK: rise(usual) };
}

const courseOf = (day: Seen, clearness: number, withBackup: boolean): Course => ({
  settings: day.settings,
  learned: day.learned,
  from: day.askedAt,
  to: day.at,
  tubC: day.tubC,
  airC: day.airC,
  suns: day.suns,
  clearness,
  withBackup,
});

interface Row {
  looks: Looks;
  roseK: number;
}

/** Weights of the two looks, and what comes on top of them [K]. */
type Fit = [persists: number, usual: number, offsetK: number];

const predict = ([persists, usual, offset]: Fit, { persistsK, usualK }: Looks): number =>
  persists * persistsK + usual * usualK + offset;

/** Least squares for the weights, held to what was thought before; one row may be left out. */
function fitted(rows: readonly Row[], without: number): Fit {
  const prior: Fit = [PERSISTENCE, 1 - PERSISTENCE, 0];
  const held = [HELD, HELD, HELD / 2];
  const matrix = held.map((weight, i) => [0, 0, 0].map((_, j) => (i === j ? weight : 0)));
  const right = held.map((weight, i) => weight * prior[i]!);
  rows.forEach(({ looks, roseK }, index) => {
    if (index === without) return;
    const x = [looks.persistsK, looks.usualK, 1];
    for (let i = 0; i < 3; i++) {
      right[i]! += x[i]! * roseK;
      for (let j = 0; j < 3; j++) matrix[i]![j]! += x[i]! * x[j]!;
    }
  });
  return solved(matrix, right) as Fit;
}

/** Solves a small system with a positive definite matrix. */
function solved(matrix: number[][], right: number[]): number[] {
  const n = right.length;
  const rows = matrix.map((row, i) => [...row, right[i]!]);
  for (let i = 0; i < n; i++) {
    for (let j = i + 1; j < n; j++) {
      const factor = rows[j]![i]! / rows[i]![i]!;
      for (let k = i; k <= n; k++) rows[j]![k]! -= factor * rows[i]![k]!;
    }
  }
  const x = new Array<number>(n).fill(0);
  for (let i = n - 1; i >= 0; i--) {
    const rest = x.reduce((sum, value, j) => (j > i ? sum + rows[i]![j]! * value : sum), 0);
    x[i] = (rows[i]![n]! - rest) / rows[i]![i]!;
  }
  return x;
}

/** Half the band [K]: as wide as the misses of past days were, and what was thought before them. */
function halfWidth(misses: readonly number[], looks: Looks): number {
  const before = Math.hypot(MISSES.alwaysK, MISSES.ofSun * Math.abs(looks.usualK));
  const squares = misses.reduce((sum, miss) => sum + miss * miss, HELD * before * before);
  return EIGHT_IN_TEN * Math.sqrt(squares / (misses.length + HELD));
}

/** The quarter's temperature of the tub at an instant; null where it was not heard near it. */
export function tubAt(quarters: readonly Quarter[], t: number): number | null {
  let best: Quarter | null = null;
  for (const quarter of quarters) {
    if (quarter.tubC === null) continue;
    const away = Math.abs(quarter.from + QUARTER / 2 - t);
    if (away <= QUARTER && (!best || away < Math.abs(best.from + QUARTER / 2 - t))) best = quarter;
  }
  return best?.tubC ?? null;
}

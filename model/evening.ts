import { localDate, type Span, weekday } from './civil-time.ts';
import {
  BATH_UNCERTAINTY,
  type Course,
  clearnessBefore,
  goesTo,
  sunsAlong,
} from './evening-course.ts';
import type { Learned } from './learned.ts';
import type { Quarter } from './ledger.ts';
import { QUARTER } from './readings.ts';
import type { Thermostat } from './thermostat.ts';
import { sensorClass, type TubSettings } from './tub-settings.ts';
import { temperatureUncertaintyK } from './uncertainty.ts';

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
  /** How the backup was last seen to hold the tub. */
  thermostat: Thermostat;
  /** The tub when it was asked, and the air expected until the evening [°C]. */
  tubC: number;
  airC: number;
  /** Baths that the owner told of for the time until then. */
  baths: readonly Span[];
  /** The tub in the evening [°C]; null where it is still to come. */
  cameC: number | null;
}

/** What to expect of the tub in the evening [°C]. */
export interface Foreseen {
  lowC: number;
  middleC: number;
  /** The band from lowC to highC holds 8 evenings in 10. */
  highC: number;
  /** Where the tub would come to without its backup; the middle, unless that works by itself. */
  aloneC: number;
  /** The sky of just now tells of it: sun was to be had of late, and more is to come by then. */
  bySky: boolean;
  /** Past days that it rests on. */
  days: number;
}

/** Looks ahead that bracket what skies do: going on as it was, and as the days usually are. */
interface Looks {
  persistsK: number;
  usualK: number;
  /** How much warmer a clear sky would make the tub than a dull one: what the sky can still decide. */
  openK: number;
  /** How much colder the baths make the tub that were told of. */
  bathsK: number;
}

/** Share that the present sky has in what comes, before past days have told better. */
const PERSISTENCE = 0.65;
/** How clear days are, before past days have told. */
const USUAL_CLEARNESS = 0.55;
/** How strongly the shares are held to what was thought before, in days of evidence. */
const HELD = 4;
/** What a look ahead misses before past days have told [K]: something always, more under much sun. */
const MISSES = { alwaysK: 0.25, ofSun: 0.3 };
/** A miss beyond this many times the usual one, such as a bath, pulls no harder at the shares. */
const FAR = 1.5;
/** Habits by weekday are believed when they leave less than this share of the misses. */
const HABIT_LEAVES = 0.85;
/** Less than this is no sun that the sky can still decide on. [K] */
const LEAST_OPEN_K = 0.1;
/** Share of past evenings that the band has to hold, and half of it for a bell's misses. */
const SHARE = 0.8;
const EIGHT_IN_TEN = 1.2816;

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
  const rows = known.map((day): Row => {
    const looks = looksOf(day, usual, withBackup);
    const roseK = day.cameC! - day.tubC;
    return { looks, roseK, usualMissK: usualMissK(looks), weekday: weekdayOf(day) };
  });
  const looks = looksOf(today, usual, withBackup);
  const equations = equationsOf(rows);
  const plain = missesOf(rows, equations);
  const habit = habitsOf(rows, plain);
  const misses = plain.map((miss, i) => miss - habit(rows[i]!.weekday, i));
  const fit = solutionOf(equations);
  const comesTo = (by: Looks) => today.tubC + predict(fit, by) + habit(weekdayOf(today), -1);
  const middleC = comesTo(looks);
  const times = shareHeld(misses.map((miss, i) => Math.abs(miss) / rows[i]!.usualMissK));
  // Past misses are those of the tub's own sensor; how far that reads off comes on top.
  const half = Math.hypot(
    times * usualMissK(looks),
    EIGHT_IN_TEN * sensorUncertaintyK(today),
    EIGHT_IN_TEN * BATH_UNCERTAINTY * looks.bathsK,
  );
  return {
    foreseen: {
      lowC: middleC - half,
      middleC,
      highC: middleC + half,
      aloneC: withBackup ? Math.min(middleC, comesTo(looksOf(today, usual, false))) : middleC,
      bySky: isBySky(today, usual),
      days: known.length,
    },
    missed: sizeOf(misses),
  };
}

function isBySky(today: Seen, usual: number): boolean {
  const { timeZone } = today.settings.place;
  const sameDay = localDate(today.askedAt, timeZone) === localDate(today.at, timeZone);
  if (!sameDay || today.clearness === null) return false;
  return looksOf(today, usual, false).openK >= LEAST_OPEN_K;
}

const weekdayOf = ({ at, settings }: EveningDay): number => weekday(at, settings.place.timeZone);

const sizeOf = (misses: readonly number[]): number =>
  misses.reduce((sum, miss) => sum + Math.abs(miss), 0);

/**
 * What a day of the week usually adds [K], people having their habits: held to nothing while few such
 * days have told, and nothing at all unless past evenings would have been met clearly better by it.
 */
function habitsOf(rows: readonly Row[], misses: readonly number[]) {
  const habit = (day: number, without: number): number => {
    const such = misses.filter((_, i) => i !== without && rows[i]!.weekday === day);
    return such.reduce((sum, miss) => sum + miss, 0) / (such.length + 1);
  };
  const left = misses.map((miss, i) => miss - habit(rows[i]!.weekday, i));
  return sizeOf(left) < HABIT_LEAVES * sizeOf(misses) ? habit : () => 0;
}

function usualClearness(days: readonly Seen[]): number {
  const known = days.flatMap(({ clearness }) => clearness ?? []);
  const sum = known.reduce((total, clearness) => total + clearness, USUAL_CLEARNESS * HELD);
  return sum / (known.length + HELD);
}

function looksOf(day: Seen, usual: number, withBackup: boolean): Looks {
  const course = (clearness: number) => courseOf(day, clearness, withBackup);
  const rise = (clearness: number) => goesTo(course(clearness)) - day.tubC;
  const covered =
    day.baths.length === 0 ? null : goesTo({ ...course(usual), baths: [] }) - day.tubC;
  const usualK = rise(usual);
  return {
    persistsK: rise(day.clearness ?? usual),
    usualK,
    openK: rise(1) - rise(0),
    bathsK: covered === null ? 0 : covered - usualK,
  };
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
  thermostat: withBackup ? day.thermostat : null,
  baths: day.baths,
});

/** What a look misses, as far as was thought before past days told [K]. */
const usualMissK = ({ openK }: Looks): number => Math.hypot(MISSES.alwaysK, MISSES.ofSun * openK);

const sensorUncertaintyK = ({ settings, tubC }: EveningDay): number =>
  temperatureUncertaintyK(sensorClass(settings, 'tub/temperature'), tubC);

interface Row {
  weekday: number;
  looks: Looks;
  roseK: number;
  usualMissK: number;
}

/** Weights of the two looks, and what comes on top of them [K]. */
type Fit = [persists: number, usual: number, offsetK: number];

const predict = ([persists, usual, offset]: Fit, { persistsK, usualK }: Looks): number =>
  persists * persistsK + usual * usualK + offset;

/** Normal equations of a weighted least squares fit, and the weight of each row in them. */
interface Equations {
  matrix: number[][];
  right: number[];
  weights: number[];
}

/**
 * Least squares for the shares, held to what was thought before. A day that went quite another way,
 * with a bath before the hour, counts for less (Huber).
 */
function equationsOf(rows: readonly Row[]): Equations {
  let equations = weighted(
    rows,
    rows.map(() => 1),
  );
  for (let round = 0; round < 3; round++) {
    const fit = solutionOf(equations);
    const off = rows.map((row) => Math.abs(row.roseK - predict(fit, row.looks)));
    const far = FAR * Math.max(0.1, middleOf(off));
    const weights = off.map((miss) => Math.min(1, far / miss));
    equations = weighted(rows, weights);
  }
  return equations;
}

function weighted(rows: readonly Row[], weights: number[]): Equations {
  const prior: Fit = [PERSISTENCE, 1 - PERSISTENCE, 0];
  const held = [HELD, HELD, HELD / 2];
  const matrix = held.map((weight, i) => [0, 0, 0].map((_, j) => (i === j ? weight : 0)));
  const right = held.map((weight, i) => weight * prior[i]!);
  const equations = { matrix, right, weights };
  rows.forEach((row, i) => {
    addRow(equations, row, weights[i]!);
  });
  return equations;
}

function addRow({ matrix, right }: Equations, { looks, roseK }: Row, weight: number): void {
  const x = [looks.persistsK, looks.usualK, 1];
  for (let i = 0; i < 3; i++) {
    right[i]! += weight * x[i]! * roseK;
    for (let j = 0; j < 3; j++) matrix[i]![j]! += weight * x[i]! * x[j]!;
  }
}

const solutionOf = ({ matrix, right }: Equations): Fit => solved(matrix, right) as Fit;

/** What past days would have missed, each foreseen from the others [K]. */
function missesOf(rows: readonly Row[], equations: Equations): number[] {
  return rows.map((row, i) => {
    const weight = equations.weights[i]!;
    addRow(equations, row, -weight);
    const miss = row.roseK - predict(solutionOf(equations), row.looks);
    addRow(equations, row, weight);
    return miss;
  });
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

/**
 * How many times its usual miss the band must reach to hold 8 of 10 evenings: a quantile of past ones,
 * with a bell's beside them that weighs as much as some days. Few days tell a quantile badly; part of
 * that doubt goes on top.
 */
function shareHeld(times: readonly number[]): number {
  const thought = Array.from({ length: HELD }, (_, i) => bell((i + 0.5) / HELD));
  const sorted = [...times, ...thought].sort((a, b) => a - b);
  const doubt = Math.sqrt((SHARE * (1 - SHARE)) / sorted.length);
  const place = (SHARE + doubt / 2) * (sorted.length + 1) - 1;
  const below = Math.min(sorted.length - 1, Math.floor(place));
  const above = Math.min(sorted.length - 1, below + 1);
  return sorted[below]! + (place - below) * (sorted[above]! - sorted[below]!);
}

/** Sizes of a bell's misses at a share of all, in standard deviations; near enough up to 9 in 10. */
const bell = (share: number): number => (EIGHT_IN_TEN * share) / SHARE;

function middleOf(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[values.length >> 1] ?? 0;
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

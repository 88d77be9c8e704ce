import { MINUTE } from '../readings.ts';
import type { TubSettings } from '../tub-settings.ts';
import type { HeardPoint } from './heard-point.ts';

/** No board is silent before that. [ms] */
const LEAST_MS = 5 * MINUTE;

type Heard = Readonly<Record<string, HeardPoint>>;

/** A board and those of its points that were ever heard. */
export interface HeardBoard {
  /** null: the points that no board of the set-up names, which count as one. */
  name: string | null;
  points: readonly string[];
}

/** The boards of which something was ever heard, as the set-up has them, the rest last. */
export function boardsHeard(settings: TubSettings, heard: readonly string[]): HeardBoard[] {
  const named = new Set(settings.boards.flatMap(({ points }) => points));
  const boards: HeardBoard[] = settings.boards.map(({ name, points }) => ({
    name,
    points: points.filter((point) => heard.includes(point)),
  }));
  boards.push({ name: null, points: heard.filter((point) => !named.has(point)) });
  return boards.filter(({ points }) => points.length > 0);
}

/** When anything of a board was heard last [ms]. */
export function boardHeardAt({ points }: HeardBoard, heard: Heard): number {
  let heardAt = Number.NEGATIVE_INFINITY;
  for (const point of points) heardAt = Math.max(heardAt, heard[point]!.heardAt);
  return heardAt;
}

/**
 * Whether a board is silent: for longer than the most talkative of its points rests, of those that were
 * not silent before, and longer than any of them that speaks at even intervals lets one wait.
 */
export function isBoardSilent(board: HeardBoard, heard: Heard, t: number): boolean {
  const heardAt = boardHeardAt(board, heard);
  const silentMs = t - heardAt;
  if (silentMs <= LEAST_MS) return false;
  let [patienceMs, evenMs] = [Number.POSITIVE_INFINITY, 0];
  for (const point of board.points) {
    const one = heard[point]!;
    if (heardAt - one.heardAt > one.patienceMs) continue;
    patienceMs = Math.min(patienceMs, one.patienceMs);
    evenMs = Math.max(evenMs, 1.5 * (one.steadyGapMs ?? 0));
  }
  return silentMs > Math.max(patienceMs, evenMs);
}

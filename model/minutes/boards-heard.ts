import { MINUTE } from '../readings.ts';
import type { TubSettings } from '../tub-settings.ts';
import type { HeardPoint } from './heard-point.ts';

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

/** When anything of a board was heard last [ms], and how long that may be ago before it is silent. */
export function boardSilence(
  { points }: HeardBoard,
  heard: Heard,
): { heardAt: number; patienceMs: number } {
  let [heardAt, patienceMs] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  for (const point of points) {
    const one = heard[point]!;
    heardAt = Math.max(heardAt, one.heardAt);
    patienceMs = Math.min(patienceMs, Math.max(5 * MINUTE, one.patienceMs));
  }
  return { heardAt, patienceMs };
}

/** Whether a board is silent for longer than it usually is. */
export function isBoardSilent(board: HeardBoard, heard: Heard, t: number): boolean {
  const { heardAt, patienceMs } = boardSilence(board, heard);
  return t - heardAt > patienceMs;
}

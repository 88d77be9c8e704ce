import type { Alert } from '../../model/shapes.ts';

/** More lines than this cannot be told apart on a small chart. */
const MOST_POINTS = 5;

/** The point of an alert, or those that its rule looks at, the most telling first; only what was heard. */
export function pointsAbout({ point, points = [] }: Alert, heard: readonly string[]): string[] {
  const about = point === undefined ? points : [point];
  return about.filter((each) => heard.includes(each)).slice(0, MOST_POINTS);
}

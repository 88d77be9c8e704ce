import type { Alert } from '../../model/shapes.ts';
import { present } from '../present.ts';
import { alertWords, moment } from './speech.ts';

/** Until when an alert is kept quiet; null where it is not. */
export const quietUntil = ({ shelvedUntil }: Alert): string | null =>
  shelvedUntil !== null && Date.parse(shelvedUntil) > present.value ? shelvedUntil : null;

/** What people did with an alert that stands. */
export function handledLines(alert: Alert): string[] {
  const lines: string[] = [];
  const quiet = quietUntil(alert);
  if (alert.acknowledgedAt !== null) lines.push(alertWords.known(moment(alert.acknowledgedAt)));
  if (quiet !== null) lines.push(alertWords.quiet(moment(quiet)));
  return lines;
}

import type { LogEntryShape } from '../../model/owner-log.ts';
import type { Alert } from '../../model/shapes.ts';
import type { Mark } from './picture.ts';
import { stands } from './told.ts';
import type { Span } from './view.ts';

/** An alert or an entry of the log, as it is marked. */
export type MarkedThing = Mark & { number: number } & (
    | { kind: 'alert'; alert: Alert }
    | { kind: 'entry'; entry: LogEntryShape }
  );

/** What stood or was entered in a view, numbered in order of time. */
export function markedIn(
  view: Span,
  present: number,
  alerts: readonly Alert[],
  entries: readonly LogEntryShape[],
): MarkedThing[] {
  const things = [
    ...alerts
      .filter((alert) => stands(alert, view, present))
      .map((alert) => ({
        kind: 'alert' as const,
        alert,
        ...lengthOf(alert.since, alert.until ?? present),
      })),
    ...entries
      .map((entry) => ({
        kind: 'entry' as const,
        entry,
        ...lengthOf(entry.from, entry.until ?? null),
      }))
      .filter(({ from, to }) => from < view.to && (to ?? from) >= view.from),
  ];
  return things.sort((a, b) => a.from - b.from).map((thing, n) => ({ ...thing, number: n + 1 }));
}

const lengthOf = (from: string, to: string | number | null) => ({
  from: Date.parse(from),
  to: typeof to === 'string' ? Date.parse(to) : to,
});

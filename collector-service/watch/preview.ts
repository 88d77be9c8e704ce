import { setImmediate as turn } from 'node:timers/promises';
import { localDate } from '../../model/civil-time.ts';
import type { Quarter } from '../../model/ledger.ts';
import { HOUR, QUARTER, quarterOf } from '../../model/readings.ts';
import type { Store } from '../store/store.ts';
import { workOutFrom } from './ledger-work.ts';
import { differsFrom, type SetupBook } from './setup-book.ts';

const SLICE_MS = 6 * HOUR;

/** The local dates of a tub whose quarters, or whose bounds, another set-up would change. */
export async function changedDates(
  store: Store,
  tub: string,
  before: SetupBook,
  after: SetupBook,
): Promise<string[]> {
  const since = differsFrom(before, after, tub);
  const heard = since === null ? null : await store.span(tub);
  const zone = after.of(tub).at(-1)?.settings.place.timeZone;
  if (since === null || !heard) return [];
  const oldZone = before.of(tub).at(-1)?.settings.place.timeZone;
  const dates = new Set<string>();
  const add = (t: number) => dates.add(localDate(t, zone ?? oldZone ?? 'UTC'));
  const end = quarterOf(heard.to) + QUARTER;
  let from = Math.max(
    quarterOf(heard.from),
    since === Number.NEGATIVE_INFINITY ? 0 : quarterOf(since),
  );
  for (; from < end; from += SLICE_MS) {
    const span = { from, to: Math.min(from + SLICE_MS, end) };
    if (zone !== oldZone) {
      for (let t = span.from; t < span.to; t += QUARTER) add(t);
      continue;
    }
    const was = await store.ledger(tub, span.from, span.to);
    const rows = await workOutFrom(store, tub, after.of(tub), span);
    for (const t of differing(was, rows)) add(t);
    await turn();
  }
  return [...dates].sort();
}

function differing(was: readonly Quarter[], rows: readonly Quarter[]): number[] {
  const missing = new Map(was.map((row) => [row.from, row]));
  const changed: number[] = [];
  for (const row of rows) {
    const before = missing.get(row.from);
    missing.delete(row.from);
    if (!before || !sameRow(before, row)) changed.push(row.from);
  }
  return [...changed, ...missing.keys()];
}

const sameRow = (a: Quarter, b: Quarter): boolean =>
  (Object.keys(b) as (keyof Quarter)[]).every((key) => a[key] === b[key]);

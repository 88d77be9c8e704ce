import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import type { Store } from '../../collector-service/store/store.ts';
import { QUARTER } from '../../model/readings.ts';
import { openStore } from './month.ts';
import { points, start, tub } from './month-of-readings.ts';
import { digits, line, Rounds, spread, times, whole } from './rounds.ts';

const ROUNDS = 7;
const DAY = 86_400_000;
const DAYS = 366;
/** Often enough that a roll-up stands for several readings, and a year is kept within a minute. */
const STEP = 2 * 60_000; // ms
const STEPS_A_BATCH = 500;
const BARE = 'bare reading of the year’s roll-ups';
const WHOLE = 'a year as the phone asks for it, in whole days';
const ODD = 'the same in 400 spans that lie on no quarter hour';
const RAW = 'bare reading of the year’s readings';

/** A year of twelve lines, summed up in at most 400 spans each. */
export async function traces(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-traces-'));
  const store = await openStore(folder);
  try {
    const readings = await fill(store);
    const [from, to] = [start, start + DAYS * DAY];
    const rounds = new Rounds();
    for (let round = -1; round < ROUNDS; round++) {
      const add = (name: string, value: number) => round >= 0 && rounds.add(name, value);
      add(BARE, bareRead(folder, 'rollup', 'quarter', from, to));
      add(RAW, bareRead(folder, 'reading', 't', from, to));
      add(WHOLE, await asked(store, from, to, DAY));
      add(ODD, await asked(store, from + 1234, to + 1234, (DAYS * DAY) / 400));
    }
    line('the year', `${whole(readings)} readings of ${points.length} points`);
    for (const name of [BARE, RAW, WHOLE, ODD]) line(name, `${spread(rounds.of(name), digits)} ms`);
    line('', `${spread(rounds.ratio(WHOLE, BARE), times)} the roll-ups, in whole days`);
    line('', `${spread(rounds.ratio(ODD, BARE), times)} the roll-ups, in odd spans`);
    line('', `${spread(rounds.ratio(WHOLE, RAW), times)} the readings; aim at most 300 ms`);
  } finally {
    await store.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

async function fill(store: Store): Promise<number> {
  const steps = (DAYS * DAY) / STEP;
  for (let step = 0; step < steps; step += STEPS_A_BATCH) {
    const count = Math.min(STEPS_A_BATCH, steps - step);
    const readings = Array.from({ length: count }, (_, n) => start + (step + n) * STEP).flatMap(
      (t) => points.map((point, i) => ({ tub, point, t, value: i + Math.sin(t / QUARTER) })),
    );
    await store.keep({ readings, unreadable: [], at: start });
  }
  return steps * points.length;
}

/** Reads every row of a table in the span, series by series [ms]. */
function bareRead(folder: string, table: string, time: string, from: number, to: number): number {
  const db = new Database(join(folder, 'sunsteep.db'), { readonly: true });
  const series = db.prepare('SELECT id FROM series').pluck().all();
  const rows = db
    .prepare(`SELECT * FROM ${table} WHERE series = ? AND ${time} >= ? AND ${time} < ?`)
    .raw();
  const began = performance.now();
  let read = 0;
  for (const id of series) for (const _ of rows.iterate(id, from, to)) read++;
  const took = performance.now() - began;
  db.close();
  if (read < 12 * DAYS * 96) throw new Error(`${read} rows are there`);
  return took;
}

/** All points, one after the other [ms]. */
async function asked(store: Store, from: number, to: number, bucketMs: number): Promise<number> {
  const began = performance.now();
  for (const point of points) {
    const found = await store.buckets(tub, point, from, to, bucketMs);
    if (found.length < 360 || found.length > 400)
      throw new Error(`${found.length} spans are there`);
  }
  return performance.now() - began;
}

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { monitorEventLoopDelay } from 'node:perf_hooks';
import { setImmediate as turn } from 'node:timers/promises';
import Database from 'better-sqlite3';
import type { Store } from '../../collector-service/store/store.ts';
import type { Watch } from '../../collector-service/watch/watch.ts';
import { DAYS, points, readings, setup, start, steps, tub } from './month-of-readings.ts';
import { digits, line, Rounds, spread, times, whole } from './rounds.ts';

const ROUNDS = 3;
const DAY = 86_400_000;
const STEPS_A_BATCH = 250;
const BARE = 'bare reading of its rows';
const AGAIN = 'a month worked out again';
const HOLD = 'longest hold of the event loop';

/** A month of one tub worked out again by the built program, against reading its rows alone. */
export async function month(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-month-'));
  const store = await openStore(folder);
  try {
    await fill(store);
    const watch = await watchOn(store, start + DAYS * DAY);
    const rounds = new Rounds();
    for (let round = 0; round <= ROUNDS; round++) {
      const add = (name: string, value: number) => round > 0 && rounds.add(name, value);
      add(BARE, bareRead(folder));
      const { seconds, heldMs } = await workedOutAgain(store, watch);
      add(AGAIN, seconds);
      add(HOLD, heldMs);
    }
    await watch.stop();
    line('the month', `${whole(steps * points.length)} readings`);
    for (const name of [BARE, AGAIN]) line(name, `${spread(rounds.of(name), digits)} s`);
    line('', `${spread(rounds.ratio(AGAIN, BARE), times)} the reading; aim at most 3 ×`);
    line(HOLD, `${spread(rounds.of(HOLD), digits)} ms; aim at most 50 ms`);
  } finally {
    await store.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

// The built program, so that nothing but its own code is measured.
const built = (file: string) => import(new URL(`../../dist/${file}`, import.meta.url).href);

export async function openStore(folder: string): Promise<Store> {
  const module: typeof import('../../collector-service/store/sqlite-store.ts') = await built(
    'collector-service/store/sqlite-store.js',
  );
  return module.openStore(folder);
}

export async function watchOn(store: Store, present: number): Promise<Watch> {
  const module: typeof import('../../collector-service/watch/watch.ts') = await built(
    'collector-service/watch/watch.js',
  );
  const clock = { now: () => present };
  const failed = (error: unknown) => {
    throw error;
  };
  const watch = new module.Watch({ store, clock, earlier: () => new Map(), failed });
  await watch.start();
  await watch.putSetup(setup, Number.NEGATIVE_INFINITY);
  await watch.settled();
  return watch;
}

export async function fill(store: Store): Promise<void> {
  const loop = readings();
  for (let step = 0; step < steps; step += STEPS_A_BATCH) {
    const batch = Array.from({ length: STEPS_A_BATCH }, () => loop.next().value);
    const rows = batch.flatMap(({ t, values }) =>
      values.map((value, i) => ({ tub, point: points[i]!, t, value })),
    );
    await store.keep({ readings: rows, unreadable: [], at: start });
  }
}

/** Reads every row of the month, point by point and day by day [s]. */
function bareRead(folder: string): number {
  const db = new Database(join(folder, 'sunsteep.db'), { readonly: true });
  const series = db.prepare('SELECT id FROM series').pluck().all();
  const between = db
    .prepare('SELECT t, value FROM reading WHERE series = ? AND t >= ? AND t < ? ORDER BY t')
    .raw();
  const began = performance.now();
  let rows = 0;
  for (let day = 0; day < DAYS; day++) {
    for (const id of series) {
      rows += between.all(id, start + day * DAY, start + (day + 1) * DAY).length;
    }
  }
  const seconds = (performance.now() - began) / 1000;
  db.close();
  if (rows !== steps * points.length) throw new Error(`${rows} rows are there`);
  return seconds;
}

async function workedOutAgain(store: Store, watch: Watch) {
  await store.markDirty(tub, start, start + DAYS * DAY);
  await turn();
  const delay = monitorEventLoopDelay({ resolution: 1 });
  delay.enable();
  const began = performance.now();
  await watch.settled();
  const seconds = (performance.now() - began) / 1000;
  delay.disable();
  return { seconds, heldMs: delay.max / 1e6 };
}

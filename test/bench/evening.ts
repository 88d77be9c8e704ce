import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { QUARTER } from '../../model/readings.ts';
import { fill, openStore, watchOn } from './month.ts';
import { DAYS, start, tub } from './month-of-readings.ts';
import { digits, line, Rounds, spread, times } from './rounds.ts';

const ROUNDS = 20;
const DAY = 86_400_000;
const BARE = 'bare reading of five weeks of its quarters';
const LOOK = 'a look ahead to the evening';

/** The evening of a tub that has been heard for a month, asked of the built program. */
export async function evening(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-evening-'));
  const store = await openStore(folder);
  try {
    await fill(store);
    const end = start + DAYS * DAY;
    const watch = await watchOn(store, end - QUARTER / 3);
    const rounds = new Rounds();
    for (let round = -2; round < ROUNDS; round++) {
      const add = (name: string, value: number) => round >= 0 && rounds.add(name, value);
      add(BARE, await took(() => store.ledger(tub, end - 35 * DAY, end)));
      add(LOOK, await took(() => watch.evening(tub)));
    }
    if ((await watch.evening(tub))?.lowC == null) throw new Error('nothing was foreseen');
    await watch.stop();
    for (const name of [BARE, LOOK]) line(name, `${spread(rounds.of(name), digits)} ms`);
    line('', `${spread(rounds.ratio(LOOK, BARE), times)} the reading`);
    line('aim for a look', 'at most 20 ms');
  } finally {
    await store.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

async function took(work: () => Promise<unknown>): Promise<number> {
  const began = performance.now();
  await work();
  return performance.now() - began;
}

import { join } from 'node:path';
import { expect } from 'vitest';
import { openDatabase, STORE_FILE } from '../../collector-service/store/database.ts';
import { openStore, storeOn } from '../../collector-service/store/sqlite-store.ts';
import { batch, expectedOf } from './batches.ts';
import { type Chance, type Cut, cutBetween, filesOf, lay } from './crash-image.ts';
import { expectSound, inside, rowsOf } from './inside.ts';

const cuts: readonly Cut[] = [
  'while the log was written',
  'while the log was copied into the file',
];
/** So many pages of log are copied into the file: few, so that it happens often. */
const COPIED_AT_PAGES = 40;

const upTo = (count: number) => Array.from({ length: count }, (_, n) => n);

/**
 * Cuts the power while batch after batch is kept, and opens what is left each time: all that was said to
 * be kept is there, once, the batch under way wholly or not at all, and all of it is marked to be worked
 * out. Gives how many of the batches under way were there.
 */
export async function cutPower(folder: string, points: number, chance: Chance): Promise<number> {
  const [running, found] = [join(folder, 'running'), join(folder, 'found')];
  const db = openDatabase(running);
  db.pragma(`wal_autocheckpoint = ${COPIED_AT_PAGES}`);
  const store = storeOn(db, join(running, STORE_FILE));
  let whole = 0;
  try {
    for (let point = 0, kept = 0; point < points; kept++) {
      const before = filesOf(running);
      await store.keep(batch('kowhai', kept));
      const after = filesOf(running);
      for (const cut of cuts) {
        lay(cutBetween(before, after, cut, chance), found);
        const isCommitted = cut === 'while the log was copied into the file';
        if (await isUnderWayThere(found, kept, isCommitted)) whole++;
        point++;
      }
    }
  } finally {
    await store.close();
  }
  return whole;
}

async function isUnderWayThere(folder: string, kept: number, isCommitted: boolean) {
  const store = openStore(folder);
  const marks = await store.dirty();
  await store.close();
  return inside(folder, (db) => {
    if (kept > 0 || isCommitted) expectSound(db);
    const rows = rowsOf(db);
    const [without, withIt] = [kept, kept + 1].map((n) => expectedOf('kowhai', upTo(n)));
    const isThere = isCommitted || rows.size === withIt!.size;
    expect(rows).toEqual(isThere ? withIt : without);
    const unmarked = [...rows.keys()].filter((key) => {
      const [, name, t] = key.split(' ');
      return !marks.some(({ point, from, to }) => point === name && from <= +t! && +t! <= to);
    });
    expect(unmarked).toEqual([]);
    return isThere;
  });
}

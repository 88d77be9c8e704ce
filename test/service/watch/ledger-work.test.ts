import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, expect, test } from 'vitest';
import { demoSetup, demoTub } from '../../../collector-service/demo/place.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { LedgerWork } from '../../../collector-service/watch/ledger-work.ts';
import { SetupBook } from '../../../collector-service/watch/setup-book.ts';
import { HOUR, MINUTE } from '../../../model/readings.ts';

const T0 = Date.parse('2026-03-01T00:00:00Z');
const folder = mkdtempSync(join(tmpdir(), 'sunsteep-work-'));
const stores: Store[] = [];
const open = () => {
  const store = openStore(folder);
  stores.push(store);
  return store;
};

afterEach(async () => {
  for (const store of stores.splice(0)) await store.close();
  rmSync(folder, { recursive: true, force: true });
});

test('what changes again while a long stretch is worked out is worked out once more', async () => {
  const store = open();
  const other = open(); // another process grows a mark that this one has in hand
  await store.keep({ readings: hoursOfTubWater(9), unreadable: [], at: T0 });
  const book = new SetupBook([
    { id: 1, from: Number.NEGATIVE_INFINITY, setup: demoSetup, madeAt: T0 },
  ]);
  let slices = 0;
  const grow = async () => {
    await other.markDirty(demoTub.id, T0, T0 + 9 * HOUR);
    work.kick();
  };
  const work = new LedgerWork({
    store,
    book: () => book,
    worked: () => {
      slices++;
      if (slices === 1) growing = grow();
    },
    finished: (stretch) => {
      writing = store.putDays(stretch.tub, [], stretch.marks);
    },
    failed: (error) => {
      throw error;
    },
  });
  let growing: Promise<void> | null = null;
  let writing: Promise<void> | null = null;
  await store.markDirty(demoTub.id, T0, T0 + 9 * HOUR);
  await work.settled();
  await growing;
  await work.settled();
  await writing;
  expect(await store.dirty()).toEqual([]);
  expect(slices).toBeGreaterThan(3);
  await work.stop();
});

const hoursOfTubWater = (hours: number) =>
  Array.from({ length: hours * 60 }, (_, i) => ({
    tub: demoTub.id,
    point: 'tub/temperature',
    t: T0 + i * MINUTE,
    value: 36 + i / 1000,
  }));

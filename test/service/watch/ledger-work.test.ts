import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { demoSetup, demoTub } from '../../../collector-service/demo/place.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { LedgerWork } from '../../../collector-service/watch/ledger-work.ts';
import { SetupBook } from '../../../collector-service/watch/setup-book.ts';
import { HOUR, MINUTE } from '../../../model/readings.ts';
import type { Setup } from '../../../model/setup.ts';

const T0 = Date.parse('2026-03-01T00:00:00Z');
let folder: string;
const stores: Store[] = [];
const open = () => {
  const store = openStore(folder);
  stores.push(store);
  return store;
};

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'sunsteep-work-'));
});

afterEach(async () => {
  for (const store of stores.splice(0)) await store.close();
  rmSync(folder, { recursive: true, force: true });
});

test('what changes again while a long stretch is worked out is worked out once more', async () => {
  const store = open();
  const other = open(); // another process grows a mark that this one has in hand
  await store.keep({ readings: hoursOfTubWater(9), unreadable: [], at: T0 });
  let slices = 0;
  const grow = async () => {
    await other.markDirty(demoTub.id, T0, T0 + 9 * HOUR);
    work.kick();
  };
  const work = new LedgerWork({
    store,
    book: () => setUp,
    worked: () => {
      slices++;
      if (slices === 1) growing = grow();
    },
    finished: (stretch) => {
      writing = store.putDays(stretch.tub, [], stretch.marks);
      return writing;
    },
    failed,
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

test('a tub that is taken out of the set-up while it is worked on holds up no other', async () => {
  const store = open();
  const sauna = { ...demoTub, id: 'sauna' };
  const both = bookOf({ ...demoSetup, tubs: [demoTub, sauna] });
  await store.keep({
    readings: [...hoursOfTubWater(20), ...hoursOfTubWater(2, sauna.id)],
    unreadable: [],
    at: T0,
  });
  let book = both;
  const worked: string[] = [];
  const work = new LedgerWork({
    store,
    book: () => book,
    worked: (tub) => {
      worked.push(tub);
      if (tub === demoTub.id) book = bookOf({ ...demoSetup, tubs: [sauna] });
    },
    finished: (stretch) => store.putDays(stretch.tub, [], stretch.marks),
    failed,
  });
  await work.settled();
  expect(worked).toEqual([demoTub.id, sauna.id]);
  expect(await store.dirty()).toEqual([]);
  await work.stop();
});

test('a stretch whose days could not be written is worked out again with the next kick', async () => {
  const store = open();
  await store.keep({ readings: hoursOfTubWater(1), unreadable: [], at: T0 });
  const failures: unknown[] = [];
  let tries = 0;
  const work = new LedgerWork({
    store,
    book: () => setUp,
    worked: () => {},
    finished: async (stretch) => {
      if (++tries === 1) throw new Error('the disk is full');
      await store.putDays(stretch.tub, [], stretch.marks);
    },
    failed: (error) => failures.push(error),
  });
  await work.settled();
  expect([tries, failures.length, (await store.dirty()).length]).toEqual([1, 1, 1]);
  await work.settled();
  expect([tries, failures.length, (await store.dirty()).length]).toEqual([2, 1, 0]);
  await work.stop();
});

const bookOf = (setup: Setup) =>
  new SetupBook([{ id: 1, from: Number.NEGATIVE_INFINITY, setup, madeAt: T0 }]);
const setUp = bookOf(demoSetup);

const failed = (error: unknown) => {
  throw error;
};

const hoursOfTubWater = (hours: number, tub = demoTub.id) =>
  Array.from({ length: hours * 60 }, (_, i) => ({
    tub,
    point: 'tub/temperature',
    t: T0 + i * MINUTE,
    value: 36 + i / 1000,
  }));

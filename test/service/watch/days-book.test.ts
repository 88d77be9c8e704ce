import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { demoSetup, demoTub } from '../../../collector-service/demo/place.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { DaysBook } from '../../../collector-service/watch/days-book.ts';
import type { Finished } from '../../../collector-service/watch/ledger-work.ts';
import { newestSlice } from '../../../collector-service/watch/ledger-work.ts';
import { SetupBook } from '../../../collector-service/watch/setup-book.ts';
import { dayBounds } from '../../../model/civil-time.ts';
import { HOUR, MINUTE } from '../../../model/readings.ts';

const { timeZone } = demoTub.place!;
const FIRST = dayBounds('2026-03-01', timeZone).from;
const HOURS = 72;
const dates = ['2026-03-01', '2026-03-02', '2026-03-03'];
const book = new SetupBook([
  { id: 1, from: Number.NEGATIVE_INFINITY, setup: demoSetup, madeAt: FIRST },
]);

let folder: string;
let store: Store;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'sunsteep-days-'));
  store = openStore(folder);
  await store.keep({ readings: tubWater(), unreadable: [], at: FIRST });
});
afterEach(async () => {
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

test('days that could not be written are worked out and written the next time', async () => {
  let failing = true;
  const moody = withPutDays(async (...days) => {
    if (failing) throw new Error('the disk is full');
    await store.putDays(...days);
  });
  const days = new DaysBook({ store: moody, book: () => book, told: () => {} });
  const stretch = await workedOut();
  await expect(days.add(stretch)).rejects.toThrow('the disk is full');
  expect(await written()).toEqual([]);
  expect(await store.dirty()).toHaveLength(1);
  failing = false;
  await days.add(stretch);
  expect(await written()).toEqual(dates);
  expect(await store.dirty()).toEqual([]);
});

test('days that are read again while some are worked out lose none', async () => {
  const days = new DaysBook({ store, book: () => book, told: () => {} });
  const stretch = await workedOut();
  await Promise.all([days.load([demoTub.id]), days.add(stretch), days.load([demoTub.id])]);
  expect(await written()).toEqual(dates);
  for (const date of dates) expect(days.figures(demoTub.id, date)).not.toBeNull();
});

test('days that are forgotten while some wait are forgotten in turn: what waits comes after', async () => {
  const told: string[][] = [];
  const days = new DaysBook({
    store,
    book: () => book,
    told: (_, changed) => told.push([...changed]),
  });
  const stretch = await workedOut();
  const first = days.add(stretch);
  const forgotten = days.forget(demoTub.id);
  await first;
  const second = days.add(stretch);
  await Promise.all([forgotten, second]);
  expect(told).toEqual([dates, dates]);
  expect(await written()).toEqual(dates);
});

test('a book that was stopped works nothing out, and leaves the marks for the next start', async () => {
  const days = new DaysBook({ store, book: () => book, told: () => {} });
  const stretch = await workedOut();
  await days.stop();
  await days.add(stretch);
  expect(await written()).toEqual([]);
  expect(await store.dirty()).toHaveLength(1);
});

const written = async () => (await store.days(demoTub.id)).map(({ date }) => date);

/** The quarters of all readings, written as the ledger's work does it. */
async function workedOut(): Promise<Finished> {
  const [from, to] = [FIRST, FIRST + HOURS * HOUR];
  for (let end = to; end > from; ) {
    const { rows, emptyFrom } = await newestSlice(store, demoTub.id, book.of(demoTub.id), {
      from,
      to: end,
    });
    await store.putLedger(demoTub.id, rows, { from: emptyFrom, to: end }, []);
    end = emptyFrom;
  }
  return { tub: demoTub.id, marks: await store.dirty(), from, to, spans: [{ from, to }] };
}

const withPutDays = (putDays: Store['putDays']): Store =>
  new Proxy(store, {
    get: (target, name) => {
      const member = name === 'putDays' ? putDays : Reflect.get(target, name);
      return typeof member === 'function' ? member.bind(target) : member;
    },
  });

const tubWater = () =>
  Array.from({ length: HOURS * 12 }, (_, i) => ({
    tub: demoTub.id,
    point: 'tub/temperature',
    t: FIRST + 5 * i * MINUTE,
    value: 36 + (i % 288) / 200,
  }));

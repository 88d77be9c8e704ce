import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, expect, test } from 'vitest';
import type { Message } from '../../../collector-service/ingest/hearing.ts';
import { Intake } from '../../../collector-service/ingest/intake.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Arrivals, Store } from '../../../collector-service/store/store.ts';
import { ARRIVAL, kowhai } from './setting.ts';

const folder = mkdtempSync(join(tmpdir(), 'sunsteep-intake-'));
let store: Store | null = null;
afterEach(() => store?.close());
afterAll(() => rmSync(folder, { recursive: true }));

const message = (value: string, topic = 'sunsteep/kowhai/tub/temperature'): Message => ({
  topic,
  payload: Buffer.from(value),
  earlier: false,
  waited: false,
});

/** A real store whose transactions can be watched, held up, and made to fail. */
class WatchedStore {
  readonly kept: Arrivals[] = [];
  failure: Error | null = null;
  gate: Promise<void> = Promise.resolve();

  over(real: Store): Store {
    return new Proxy(real, {
      get: (target, name) => {
        if (name !== 'keep') return Reflect.get(target, name).bind(target);
        return async (arrivals: Arrivals) => {
          this.kept.push(arrivals);
          await this.gate;
          if (this.failure) throw this.failure;
          return target.keep(arrivals);
        };
      },
    });
  }
}

/** Everything that is kept of a tub. */
async function stored(store: Store, tub = 'kowhai') {
  return store.page(tub, await store.points(tub), 0, 8.64e15, 100);
}

async function openIntake(at = ARRIVAL, builtAt = 0) {
  store = openStore(mkdtempSync(join(folder, 'data-')));
  const watched = new WatchedStore();
  const clock = { time: at, now: () => clock.time };
  const intake = await Intake.open(watched.over(store), clock, builtAt);
  intake.setUp({ tubs: [kowhai] });
  return { intake, watched, clock, store };
}

test('a message is taken when its reading is on disk', async () => {
  const { intake, store } = await openIntake();
  const taken = intake.take(message('37.4'));
  expect(await stored(store)).toEqual([]);
  await taken;
  expect(await stored(store)).toEqual([
    { tub: 'kowhai', point: 'tub/temperature', t: ARRIVAL, value: 37.4 },
  ]);
  expect(intake.health()).toMatchObject({ heard: 1, keeping: true, oldestUnacknowledgedS: null });
});

test('what is unreadable is taken when it is recorded', async () => {
  const { intake, store } = await openIntake();
  await intake.take(message('warm'));
  expect(await store.unreadable()).toMatchObject([
    { topic: 'sunsteep/kowhai/tub/temperature', payload: 'warm', count: 1, first: ARRIVAL },
  ]);
});

test('what arrives while a transaction runs goes into the next one, in order', async () => {
  const { intake, watched, clock } = await openIntake();
  let open: () => void = () => {};
  watched.gate = new Promise((resolve) => {
    open = resolve;
  });
  const order: number[] = [];
  const take = (i: number) => intake.take(message(String(i))).then(() => order.push(i));
  const first = [take(0), take(1)];
  await new Promise(setImmediate);
  expect(watched.kept).toHaveLength(1);
  clock.time += 20_000;
  const second = [2, 3, 4, 5].map(take);
  await new Promise(setImmediate);
  expect(watched.kept).toHaveLength(1);
  expect(order).toEqual([]);
  expect(intake.health().oldestUnacknowledgedS).toBe(20);
  open();
  await Promise.all([...first, ...second]);
  expect(order).toEqual([0, 1, 2, 3, 4, 5]);
  expect(watched.kept.map(({ readings }) => readings.length)).toEqual([2, 4]);
});

test('what the store refuses is refused, and health says so until something is kept', async () => {
  const { intake, watched, clock } = await openIntake();
  watched.failure = new Error('the disk is full');
  await expect(intake.take(message('37'))).rejects.toThrow('the disk is full');
  clock.time += 90_000;
  expect(intake.health()).toMatchObject({
    keeping: false,
    trouble: 'the disk is full',
    oldestUnacknowledgedS: 90,
    heard: 0,
  });
  watched.failure = null;
  await intake.take(message('37'));
  expect(intake.health()).toMatchObject({ keeping: true, trouble: null, heard: 1 });
});

test('while it is held nothing is kept', async () => {
  const { intake, watched } = await openIntake();
  intake.hold(true);
  await expect(intake.take(message('37'))).rejects.toMatchObject({
    code: 'SUNSTEEP_STORE_DISK_FULL',
  });
  expect(watched.kept).toEqual([]);
  expect(intake.health().keeping).toBe(false);
  intake.hold(false);
  expect(intake.health()).toMatchObject({ keeping: true, oldestUnacknowledgedS: null });
  await intake.take(message('37'));
});

test('from 5,000 messages in one transaction on, brokers are asked to wait', async () => {
  const { intake } = await openIntake();
  const taken: Promise<void>[] = [];
  while (intake.room() === null) taken.push(intake.take(message('37')));
  expect(taken).toHaveLength(5_000);
  const room = intake.room();
  await room;
  expect(intake.room()).toBeNull();
  await Promise.all(taken);
});

test('listeners hear which tubs brought readings, and how old, once they are kept', async () => {
  const { intake, store } = await openIntake();
  const heard: { kept: [string, number][]; stored: number }[] = [];
  const end = intake.onKept(async (kept) => {
    heard.push({ kept: [...kept].sort(), stored: (await stored(store)).length });
  });
  intake.take(message('37'));
  intake.take(message('1', 'sunsteep/kauri/pump/running'));
  await intake.settled();
  intake.take(message('unreadable'));
  await intake.settled();
  end();
  intake.take(message('38'));
  await intake.settled();
  const kept = [
    ['kauri', ARRIVAL],
    ['kowhai', ARRIVAL],
  ];
  expect(heard).toEqual([{ kept, stored: 1 }]);
});

test('a clock before the program was built stamps nothing', async () => {
  const { intake, store, clock } = await openIntake(ARRIVAL, ARRIVAL + 1);
  await intake.take(message('37'));
  await intake.take(message(`[{"t":${ARRIVAL / 1000 + 86_400},"v":38}]`));
  expect(await store.unreadable()).toMatchObject([{ why: 'the clock of the service is wrong' }]);
  expect(await stored(store)).toMatchObject([{ value: 38, t: ARRIVAL + 86_400_000 }]);
  expect(intake.health().clockWrong).toBe(true);
  clock.time = ARRIVAL + 1;
  expect(intake.health().clockWrong).toBe(false);
});

test('a clock before the newest stored arrival stamps nothing, after a restart too', async () => {
  const { intake, store, clock } = await openIntake();
  await intake.take(message('37'));
  for (const again of [intake, await Intake.open(store, clock, 0)]) {
    again.setUp({ tubs: [kowhai] });
    clock.time = ARRIVAL - 60_000;
    await again.take(message('38'));
    expect(again.health().clockWrong).toBe(true);
    clock.time = ARRIVAL;
    expect(again.health().clockWrong).toBe(false);
  }
  expect(await store.unreadable()).toMatchObject([
    { why: 'the clock of the service is wrong', count: 2 },
  ]);
  expect(await stored(store)).toMatchObject([{ value: 37 }]);
});

test('a clock that is set back by less than a second goes on stamping', async () => {
  const { intake, store, clock } = await openIntake();
  await intake.take(message('37'));
  clock.time -= 900;
  await intake.take(message('38'));
  expect(await store.unreadable()).toEqual([]);
});

test('an earlier value is last known until a reading comes', async () => {
  const { intake, store } = await openIntake();
  await intake.take({ ...message('37'), earlier: true });
  expect(await stored(store)).toEqual([]);
  expect([...intake.lastKnown.of('kowhai')]).toEqual([
    ['tub/temperature', { value: 37, handedOverAt: ARRIVAL }],
  ]);
  await intake.take(message('38'));
  expect([...intake.lastKnown.of('kowhai')]).toEqual([]);
});

test('last known values are kept for 50 tubs without a set-up', async () => {
  const { intake } = await openIntake();
  for (let i = 0; i < 60; i++) {
    intake.take({ ...message('37', `sunsteep/tub-${i}/tub/temperature`), earlier: true });
  }
  await intake.take({ ...message('37'), earlier: true });
  const known = (tub: string) => intake.lastKnown.of(tub).size;
  expect([known('tub-49'), known('tub-50'), known('kowhai')]).toEqual([1, 0, 1]);
});

test('tubs heard before a restart still count', async () => {
  const { intake, store, clock } = await openIntake();
  for (let i = 0; i < 50; i++) intake.take(message('37', `sunsteep/tub-${i}/tub/temperature`));
  await intake.settled();
  const again = await Intake.open(store, clock, 0);
  again.setUp({ tubs: [kowhai] });
  await again.take(message('37', 'sunsteep/late/tub/temperature'));
  await again.take(message('38', 'sunsteep/tub-3/tub/temperature'));
  expect(await store.unreadable()).toMatchObject([{ topic: 'sunsteep/late/tub/temperature' }]);
  again.forget('tub-3');
  await again.take(message('37', 'sunsteep/late/tub/temperature'));
  expect(await stored(store, 'late')).toHaveLength(1);
});

test("a board's last will is there to be asked for", async () => {
  const { intake, store } = await openIntake();
  intake.setUp({
    tubs: [{ ...kowhai, boards: [{ name: 'shed', points: [], willTopic: 'shed/alive' }] }],
  });
  await intake.take(message('gone', 'shed/alive'));
  expect(intake.wills.get('shed/alive')).toEqual({
    payload: Uint8Array.from(Buffer.from('gone')),
    at: ARRIVAL,
    earlier: false,
  });
  expect(await store.unreadable()).toEqual([]);
});

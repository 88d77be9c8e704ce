import { expect, test } from 'vitest';
import {
  covered,
  DAY,
  everything,
  type Given,
  HOUR,
  keep,
  keepUnreadable,
  QUARTER,
  quarter,
  reading,
  T0,
} from './sample.ts';

const unreadable = (topic: string) => ({ topic, payload: 'x', why: 'no number' });

export function forgettingIsPromised(given: Given): void {
  test('a tub appears with its first reading; its newest arrival goes forwards only', async () => {
    const { store } = given();
    await keep(store, [reading('a', T0, 1, 'rimu'), reading('a', T0, 1)], T0 + DAY);
    await keep(store, [reading('a', T0 + 1, 1)], T0);
    await keep(store, [reading('a', T0 + 2, 1, 'rimu')], T0 + 2 * DAY);
    expect(await store.tubs()).toEqual([
      { tub: 'kowhai', arrivedAt: T0 + DAY },
      { tub: 'rimu', arrivedAt: T0 + 2 * DAY },
    ]);
  });

  test('what cannot be read makes no tub', async () => {
    const { store } = given();
    await keepUnreadable(store, [unreadable('sunsteep/kowhai/tub/temperature')], T0);
    expect(await store.tubs()).toEqual([]);
  });

  test('a tub that is forgotten leaves nothing, and the others are untouched', async () => {
    const { store } = given();
    const names = ['kowhai', 'kowhai-2', 'kowha', 'rimu'];
    for (const tub of names) {
      await keep(
        store,
        [0, 1, 2].flatMap((n) => [
          reading('a', T0 + n * HOUR, n, tub),
          reading('b', T0 + n * HOUR, n, tub),
        ]),
      );
      await store.putLedger(tub, [quarter(T0)], { from: T0, to: T0 + QUARTER }, []);
      await store.markDirty(tub, T0, T0 + 1);
    }
    const topics = names.flatMap((tub) => [`sunsteep/${tub}`, `sunsteep/${tub}/x/y`]);
    await keepUnreadable(store, [...topics, 'shed/kowhai'].map(unreadable), T0);
    const others = async () => ({
      readings: await Promise.all(names.slice(1).map((tub) => everything(store, tub))),
      buckets: await Promise.all(
        names.slice(1).map((tub) => store.buckets(tub, 'a', T0, T0 + DAY, HOUR)),
      ),
      ledger: await Promise.all(
        names.slice(1).map((tub) => store.ledger(tub, -Infinity, Infinity)),
      ),
      marks: (await store.dirty()).filter(({ tub }) => tub !== 'kowhai'),
      tubs: (await store.tubs()).filter(({ tub }) => tub !== 'kowhai'),
      unreadable: (await store.unreadable()).filter(
        ({ topic }) => !/^sunsteep\/kowhai(\/|$)/.test(topic),
      ),
    });
    const before = await others();
    expect(before.unreadable).toHaveLength(7);

    await store.forgetTub('kowhai');

    expect(await store.points('kowhai')).toEqual([]);
    expect(await store.span('kowhai')).toBeNull();
    expect(await everything(store, 'kowhai')).toEqual({});
    expect(await store.buckets('kowhai', 'a', T0, T0 + DAY, HOUR)).toEqual([]);
    expect(await store.ledger('kowhai', -Infinity, Infinity)).toEqual([]);
    expect((await store.dirty()).filter(({ tub }) => tub === 'kowhai')).toEqual([]);
    expect((await store.tubs()).map(({ tub }) => tub)).toEqual(['kowha', 'kowhai-2', 'rimu']);
    expect(await store.unreadable()).toHaveLength(7);
    expect(await others()).toEqual(before);
  });

  test('forgetting a tub that was never heard does nothing', async () => {
    const { store } = given();
    await keep(store, [reading('a', T0, 1)]);
    await store.forgetTub('nobody');
    expect(await everything(store, 'kowhai')).toEqual({ a: [[T0, 1]] });
  });

  test('a tub that is heard again after it was forgotten begins anew', async () => {
    const { store } = given();
    await keep(store, [reading('a', T0, 1), reading('b', T0, 1)]);
    await store.forgetTub('kowhai');
    await keep(store, [reading('a', T0, 0.5)]);
    expect(await everything(store, 'kowhai')).toEqual({ a: [[T0, 0.5]] });
    expect(await store.buckets('kowhai', 'a', T0, T0 + DAY, DAY)).toEqual([
      { from: T0, count: 1, min: 0.5, sum: 0.5, max: 0.5 },
    ]);
    expect(covered(await store.dirty(), 'a', T0)).toBe(true);
  });

  test('another handle that heard the tub before goes on with what is kept anew', async () => {
    const { store, reopen } = given();
    const other = await reopen();
    await keep(other, [reading('a', T0, 1)]);
    await store.forgetTub('kowhai');
    await keep(store, [reading('a', T0, 5, 'rimu')]);
    await keep(other, [reading('a', T0 + 1, 2)]);
    for (const handle of [store, other]) {
      expect(await everything(handle, 'kowhai')).toEqual({ a: [[T0 + 1, 2]] });
      expect(await everything(handle, 'rimu')).toEqual({ a: [[T0, 5]] });
      expect(covered(await handle.dirty(), 'a', T0 + 1)).toBe(true);
    }
  });
}

import { expect, test } from 'vitest';
import { type Given, keep, keepUnreadable, reading, T0 } from './sample.ts';

const kind = (topic: string, why = 'no number', payload = 'x') => ({ topic, why, payload });

export function unreadableIsPromised(given: Given): void {
  test('a kind is its topic and why; it is counted, with its first and last time', async () => {
    const { store } = given();
    await keepUnreadable(store, [kind('a'), kind('a', 'too late'), kind('b')], T0);
    await keepUnreadable(store, [kind('a', 'no number', 'y'), kind('a', 'no number', 'z')], T0 + 5);
    await keepUnreadable(store, [kind('a', 'too late')], T0 - 5);
    expect(await store.unreadable()).toEqual([
      { topic: 'a', why: 'no number', payload: 'z', count: 3, first: T0, last: T0 + 5 },
      { topic: 'a', why: 'too late', payload: 'x', count: 2, first: T0 - 5, last: T0 },
      { topic: 'b', why: 'no number', payload: 'x', count: 1, first: T0, last: T0 },
    ]);
  });

  test('it is kept together with the readings of its batch', async () => {
    const { store } = given();
    await store.keep({ readings: [reading('a', T0, 1)], unreadable: [kind('b')], at: T0 });
    expect(await store.points('kowhai')).toEqual(['a']);
    expect(await store.unreadable()).toHaveLength(1);
  });

  test('only the 1,000 kinds heard last are kept', async () => {
    const { store } = given();
    const topic = (n: number) => `shed/${String(n).padStart(4, '0')}`;
    for (let n = 0; n < 1200; n += 100) {
      const kinds = Array.from({ length: 100 }, (_, i) => kind(topic(n + i)));
      await keepUnreadable(store, [...kinds, kind('again and again')], T0 + n);
    }
    const kinds = await store.unreadable();
    expect(kinds).toHaveLength(1000);
    const heard = kinds.map((each) => each.topic).sort();
    expect(heard.slice(0, 2)).toEqual(['again and again', topic(200)]);
    expect(heard.slice(-900)).toEqual(Array.from({ length: 900 }, (_, n) => topic(300 + n)));
    expect(kinds.find(({ topic }) => topic === 'again and again')).toMatchObject({
      count: 12,
      first: T0,
      last: T0 + 1100,
    });
    expect(kinds.map(({ last }) => last)).toEqual(
      kinds.map(({ last }) => last).sort((a, b) => b - a),
    );
  });

  test('one batch with more kinds than that stays within it', async () => {
    const { store } = given();
    await keepUnreadable(
      store,
      Array.from({ length: 2500 }, (_, n) => kind(`shed/${n}`)),
      T0,
    );
    expect(await store.unreadable()).toHaveLength(1000);
    await keep(store, [reading('a', T0, 1)]);
    expect(await store.unreadable()).toHaveLength(1000);
  });
}

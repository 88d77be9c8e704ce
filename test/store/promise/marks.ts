import { expect, test } from 'vitest';
import { covered, DAY, type Given, HOUR, keep, MINUTE, reading, T0, workedOut } from './sample.ts';

export function marksArePromised(given: Given): void {
  test('every reading that changed anything is marked, by tub and point', async () => {
    const { store } = given();
    await keep(store, [
      reading('a', T0, 1),
      reading('a', T0 + HOUR, 2),
      reading('b', T0 - 90 * DAY, 3),
      reading('a', T0 + DAY, 4, 'other'),
    ]);
    const marks = await store.dirty();
    expect(marks.map(({ tub, point, from, to }) => [tub, point, from, to])).toEqual([
      ['kowhai', 'a', T0, T0 + HOUR],
      ['kowhai', 'b', T0 - 90 * DAY, T0 - 90 * DAY],
      ['other', 'a', T0 + DAY, T0 + DAY],
    ]);
  });

  test('a mark grows with what comes near it; what comes far away gets another', async () => {
    const { store } = given();
    await keep(store, [reading('a', T0, 1)]);
    await keep(store, [reading('a', T0 + MINUTE, 1)]);
    await keep(store, [reading('a', T0 - MINUTE, 1)]);
    await keep(store, [reading('a', T0 + 30 * DAY, 1)]);
    await keep(store, [reading('a', T0 + 2 * MINUTE, 1)]);
    const marks = await store.dirty();
    expect(marks.map(({ from, to }) => [from, to])).toEqual([
      [T0 - MINUTE, T0 + 2 * MINUTE],
      [T0 + 30 * DAY, T0 + 30 * DAY],
    ]);
  });

  test('putLedger takes away the marks that it is given, and no other', async () => {
    const { store } = given();
    await keep(store, [reading('a', T0, 1), reading('b', T0, 1), reading('c', T0, 1)]);
    const [a, , c] = await store.dirty();
    await store.putLedger('kowhai', [], { from: 0, to: 0 }, [a!, c!]);
    expect((await store.dirty()).map(({ point }) => point)).toEqual(['b']);
  });

  test('what changes while the ledger is being worked out is still marked afterwards', async () => {
    const { store } = given();
    await keep(store, [reading('a', T0, 1)]);
    const begun = await store.dirty();
    await keep(store, [reading('a', T0, 2)]);
    await keep(store, [reading('a', T0 + MINUTE, 1)]);
    await store.putLedger('kowhai', [], { from: 0, to: 0 }, begun);
    const left = await store.dirty();
    expect(covered(left, 'a', T0)).toBe(true);
    expect(covered(left, 'a', T0 + MINUTE)).toBe(true);
  });

  test('a mark grown by another handle of the same data outlives putLedger', async () => {
    const { store, reopen } = given();
    await keep(store, [reading('a', T0, 1)]);
    const begun = await store.dirty();
    const other = await reopen();
    await keep(other, [reading('a', T0 + MINUTE, 1)]);
    await store.putLedger('kowhai', [], { from: 0, to: 0 }, begun);
    expect(covered(await store.dirty(), 'a', T0 + MINUTE)).toBe(true);
    await workedOut(other);
    expect(await store.dirty()).toEqual([]);
  });

  test('a year that is worked out is done with, though its point is heard all the while', async () => {
    const { store } = given();
    await keep(store, [reading('a', T0 - 365 * DAY, 1), reading('a', T0, 1)]);
    const year = await store.dirty();
    for (let minute = 1; minute <= 3; minute++) {
      await keep(store, [reading('a', T0 + minute * MINUTE, 1)]);
    }
    await store.putLedger('kowhai', [], { from: 0, to: 0 }, year);
    const left = await store.dirty();
    expect(left.map(({ from, to }) => [from, to])).toEqual([[T0 + MINUTE, T0 + 3 * MINUTE]]);
  });

  test('work that was begun takes no later mark away, whoever worked the first one out', async () => {
    const { store, reopen } = given();
    await keep(store, [reading('a', T0, 1)]);
    const begun = await store.dirty();
    await workedOut(await reopen());
    await keep(store, [reading('b', T0, 1)]);
    await store.putLedger('kowhai', [], { from: 0, to: 0 }, begun);
    expect(covered(await store.dirty(), 'b', T0)).toBe(true);
  });

  test('a change after its mark is gone gets its own, and grows no mark of another point', async () => {
    const { store, reopen } = given();
    const other = await reopen();
    for (const handle of [store, other]) {
      await keep(handle, [reading('a', T0, 1), reading('a', T0, 2)]);
      await workedOut(store);
      await keep(handle, [reading('b', T0, 1), reading('b', T0, 3)]);
      await keep(handle, [reading('a', T0 + MINUTE, 1), reading('a', T0 + MINUTE, 4)]);
      const marks = await store.dirty();
      expect(marks.map(({ point, from, to }) => [point, from, to])).toEqual([
        ['b', T0, T0],
        ['a', T0 + MINUTE, T0 + MINUTE],
      ]);
      await store.forgetTub('kowhai');
    }
  });

  test('a point has a bounded number of marks, however scattered its changes are', async () => {
    const { store } = given();
    const times = Array.from({ length: 300 }, (_, day) => T0 - ((day * 7919) % 300) * DAY);
    for (const t of times) {
      await keep(store, [reading('a', t, 1)]);
      await store.dirty();
    }
    const marks = await store.dirty();
    expect(marks.length).toBeLessThanOrEqual(60);
    for (const t of times) expect(covered(marks, 'a', t)).toBe(true);
  });

  test('all of a tub can be marked, for a span or for always', async () => {
    const { store } = given();
    await store.markDirty('kowhai', -Infinity, T0);
    await store.markDirty('other', T0, T0 + DAY);
    const marks = await store.dirty();
    expect(marks.map(({ tub, point, from, to }) => [tub, point, from, to])).toEqual([
      ['kowhai', null, -Infinity, T0],
      ['other', null, T0, T0 + DAY],
    ]);
    await store.putLedger('kowhai', [], { from: 0, to: 0 }, marks);
    expect(await store.dirty()).toEqual([]);
  });
}

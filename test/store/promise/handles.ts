import { expect, test } from 'vitest';
import { day, everything, type Given, HOUR, keep, reading, T0 } from './sample.ts';

export function handlesArePromised(given: Given): void {
  test('a note outlives its handle and is replaced by the next one', async () => {
    const { store, reopen } = given();
    expect(await store.note('kind')).toBeNull();
    await store.putNote('kind', 'first');
    await store.putNote('kind', '');
    await store.putNote('other', '“Kōwhai”\n');
    await store.close();
    const again = await reopen();
    expect(await again.note('kind')).toBe('');
    expect(await again.note('other')).toBe('“Kōwhai”\n');
  });

  test('the newest arrival is noted and goes forwards only', async () => {
    const { store } = given();
    await keep(store, [reading('a', T0, 1)], T0 + HOUR);
    await keep(store, [reading('a', T0 + 1, 1)], T0);
    expect(Number(await store.note('newest arrival'))).toBe(T0 + HOUR);
    await keep(store, [], T0 + 2 * HOUR);
    expect(Number(await store.note('newest arrival'))).toBe(T0 + 2 * HOUR);
  });

  test('outsideChange changes when another handle has written, and not by what this one writes', async () => {
    const { store, reopen } = given();
    const other = await reopen();
    const before = await store.outsideChange();
    await keep(store, [reading('a', T0, 1)]);
    await store.putNote('key', 'value');
    expect(await store.outsideChange()).toBe(before);
    await keep(other, [reading('a', T0 + 1, 1)]);
    const after = await store.outsideChange();
    expect(after).not.toBe(before);
    expect(await store.outsideChange()).toBe(after);
    await other.markDirty('kowhai', T0, T0);
    expect(await store.outsideChange()).not.toBe(after);
  });

  test('what one handle has kept, another reads at once', async () => {
    const { store, reopen } = given();
    const other = await reopen();
    await keep(store, [reading('a', T0, 1)]);
    expect(await everything(other, 'kowhai')).toEqual({ a: [[T0, 1]] });
    await keep(other, [reading('a', T0, 2), reading('b', T0, 1)]);
    expect(await everything(store, 'kowhai')).toEqual({ a: [[T0, 2]], b: [[T0, 1]] });
  });

  test('its size grows with what is kept', async () => {
    const { store } = given();
    const before = await store.size();
    expect(before).toBeGreaterThan(0);
    await keep(
      store,
      Array.from({ length: 5000 }, (_, i) => reading('a', T0 + i, Math.sqrt(i))),
    );
    expect(await store.size()).toBeGreaterThan(before + 5000 * 10);
  });

  test('it says by how much it grows with readings as they came in the last day', async () => {
    const { store } = given();
    const DAY = 86_400_000;
    expect(await store.growth(T0 + 10 * DAY)).toBe(0);
    const days = 10;
    const every = 60_000;
    const before = await store.size();
    for (let day = 0; day < days; day++) {
      const rows = Array.from({ length: DAY / every }, (_, i) => {
        const t = T0 + day * DAY + i * every;
        return ['a', 'b', 'c'].map((point) => reading(point, t, Math.sin(i)));
      });
      await keep(store, rows.flat());
    }
    const told = await store.growth(T0 + days * DAY);
    // what is kept of quarters and days is told too, and not written here: less than 30 kB
    expect(((await store.size()) - before) / days).toBeGreaterThan(told - 30_000);
    expect(((await store.size()) - before) / days).toBeLessThan(2 * told);
    expect(await store.growth(T0 + 2 * days * DAY)).toBe(0);
  });

  test('no damage is told where none was met', async () => {
    expect(await given().store.isDamaged()).toBe(false);
  });

  test('a handle that is closed refuses everything, whatever it is asked, and can be closed again', async () => {
    const { store } = given();
    await store.close();
    await store.close();
    for (const work of [
      store.tubs(),
      keep(store, [reading('a', T0, 1)]),
      store.forgetTub('kowhai'),
      store.markDirty('kowhai', 0, 1),
      store.putLedger('kowhai', [], { from: 0, to: 1 }, []),
      store.putDays('kowhai', [day('2026-03-01')], []),
      store.clearDays('kowhai'),
      store.addSetup({ from: T0, setup: { tubs: [] }, madeAt: T0 }),
      store.phoneSeen('1', T0),
      store.removePhone('1'),
      store.takeLink('hash', T0),
      store.removeLink('1'),
      store.putNote('key', 'value'),
    ]) {
      await expect(work).rejects.toThrow();
    }
  });
}

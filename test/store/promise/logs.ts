import { expect, test } from 'vitest';
import type { LogEntry } from '../../../model/owner-log.ts';
import { DAY, type Given, keep, reading, T0 } from './sample.ts';

const entry = (id: string, more: Partial<LogEntry> = {}): LogEntry => ({
  id,
  kind: 'remark',
  from: T0,
  until: null,
  data: null,
  note: null,
  ...more,
});

const change = { tub: 'kowhai', from: T0, to: T0 + DAY };
const marked = [expect.objectContaining({ ...change, point: null })];

export function logsArePromised(given: Given): void {
  test('entries come back whole, the newest of what they tell first, each tub its own', async () => {
    const { store, reopen } = given();
    const bath = entry('b', { kind: 'bathing', from: T0 + DAY, until: T0 + DAY + 1 });
    const test = entry('t', {
      kind: 'bucket-test',
      from: T0 - DAY,
      data: { fills: [{ litres: 10, seconds: 146 }], by: '“me”\u0000\n🌿' },
      note: 'at the tub’s end',
    });
    expect(await store.logEntries('kowhai')).toEqual([]);
    await store.addLogEntry('kowhai', test, T0);
    await store.addLogEntry('kowhai', bath, T0 + 1);
    await store.addLogEntry('rimu', entry('t'), T0 + 2);
    for (const handle of [store, await reopen()]) {
      expect(await handle.logEntries('kowhai')).toEqual([bath, test]);
      expect(await handle.logEntries('rimu')).toEqual([entry('t')]);
    }
  });

  test('what an entry changes is marked with it, and once more when it is removed', async () => {
    const { store } = given();
    await store.addLogEntry('kowhai', entry('one'), T0, [change]);
    expect(await store.dirty()).toEqual(marked);
    await store.putLedger('kowhai', [], { from: 0, to: 0 }, await store.dirty());
    expect(await store.removeLogEntry('rimu', 'one', [change])).toBe(false);
    expect(await store.removeLogEntry('kowhai', 'other', [change])).toBe(false);
    expect(await store.dirty()).toEqual([]);
    expect(await store.removeLogEntry('kowhai', 'one', [change])).toBe(true);
    expect(await store.dirty()).toEqual(marked);
    expect(await store.logEntries('kowhai')).toEqual([]);
    expect(await store.removeLogEntry('kowhai', 'one', [change])).toBe(false);
  });

  test('an id that is taken changes and marks nothing', async () => {
    const { store } = given();
    await store.addLogEntry('kowhai', entry('one', { note: 'first' }), T0);
    await expect(store.addLogEntry('kowhai', entry('one'), T0, [change])).rejects.toThrow();
    expect(await store.dirty()).toEqual([]);
    expect(await store.logEntries('kowhai')).toEqual([entry('one', { note: 'first' })]);
  });

  test('a tub that is forgotten takes its log along, and no other’s', async () => {
    const { store } = given();
    for (const tub of ['kowhai', 'kowhai-2']) {
      await keep(store, [reading('a', T0, 1, tub)]);
      await store.addLogEntry(tub, entry('one'), T0);
    }
    await store.forgetTub('kowhai');
    expect(await store.logEntries('kowhai')).toEqual([]);
    expect(await store.logEntries('kowhai-2')).toEqual([entry('one')]);
  });
}

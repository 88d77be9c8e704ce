import { expect, test } from 'vitest';
import type { AlertRecord } from '../../../model/alerts/alert-life.ts';
import type { DayFacts } from '../../../model/alerts/rounds.ts';
import { type Given, keep, reading, T0 } from './sample.ts';

const alert = (id: string, more: Partial<AlertRecord> = {}): AlertRecord => ({
  id,
  fault: 'pump-not-running',
  point: null,
  severity: 'act',
  since: T0,
  raisedAt: T0 + 900_000,
  until: null,
  unknownSince: null,
  costKwh: null,
  evidence: { differenceK: 17.2, note: '“cold”\n', known: true, airC: null },
  ...more,
});
const day = (date: string): DayFacts => ({
  date,
  from: Date.parse(date),
  to: Date.parse(date) + 1,
  usual: {
    lPerMin: 4,
    pumpW: null,
    middayK: null,
    highestStartC: null,
    highestRunC: null,
    hotStopsC: [],
  },
  facts: { 'late-start': { minutes: 12 } },
});
const went = { setupId: 1, days: [], to: T0, dropBefore: null };
const unseen = { acknowledgedAt: null, dismissedAt: null };

export function alertsArePromised(given: Given): void {
  test('what going round brought comes back whole, the newest alert first', async () => {
    const { store, reopen } = given();
    await keep(store, [reading('pump/running', T0, 1)]);
    expect(await store.rounds('kowhai')).toEqual({ days: [], to: null, left: null });
    const [first, second] = [
      alert('a', { until: T0 + 1 }),
      alert('b', { point: 'pump/flow', raisedAt: T0 + 1e6 }),
    ];
    const days = [day('2026-03-01'), day('2026-03-02')];
    const showing = { presentSince: T0, goneSince: null, blindSince: null, costKwh: 1.5 };
    const left = { showing: [['late-start', showing]] as const, again: T0 - 9 };
    await store.putRounds('kowhai', { ...went, alerts: [first, second], days, to: T0 + 5, left });
    for (const handle of [store, await reopen()]) {
      expect(await handle.alerts('kowhai', false)).toEqual([
        { ...second, ...unseen },
        { ...first, ...unseen },
      ]);
      expect(await handle.alerts('kowhai', true)).toEqual([{ ...second, ...unseen }]);
      expect(await handle.alert('kowhai', 'b')).toEqual({ ...second, ...unseen });
      expect(await handle.alert('rimu', 'b')).toBeNull();
      expect(await handle.rounds('kowhai')).toEqual({ days, to: T0 + 5, left });
    }
  });

  test('an alert that is written again keeps what people did with it', async () => {
    const { store } = given();
    await keep(store, [reading('pump/running', T0, 1)]);
    await store.putRounds('kowhai', { ...went, alerts: [alert('a')] });
    await store.acknowledge('kowhai', 'a', T0 + 7);
    await store.acknowledge('kowhai', 'a', T0 + 9);
    await store.dismiss('kowhai', 'a', T0 + 8);
    const later = alert('a', { until: T0 + 8, costKwh: 1.5 });
    await store.putRounds('kowhai', { ...went, alerts: [later] });
    expect(await store.alerts('kowhai', false)).toEqual([
      { ...later, acknowledgedAt: T0 + 7, dismissedAt: T0 + 8 },
    ]);
  });

  test('an alert that has grown worse has been seen by nobody yet', async () => {
    const { store } = given();
    await keep(store, [reading('pump/running', T0, 1)]);
    await store.putRounds('kowhai', { ...went, alerts: [alert('a')] });
    await store.acknowledge('kowhai', 'a', T0 + 7);
    await store.dismiss('kowhai', 'a', T0 + 8);
    const worse = alert('a', { severity: 'danger' });
    await store.putRounds('kowhai', { ...went, alerts: [worse] });
    expect(await store.alerts('kowhai', true)).toEqual([{ ...worse, ...unseen }]);
    await store.acknowledge('kowhai', 'a', T0 + 9);
    await store.putRounds('kowhai', { ...went, alerts: [worse] });
    expect(await store.alerts('kowhai', true)).toMatchObject([{ acknowledgedAt: T0 + 9 }]);
  });

  test('days that rules no longer look at go', async () => {
    const { store } = given();
    await keep(store, [reading('pump/running', T0, 1)]);
    const days = [day('2026-03-01'), day('2026-03-02'), day('2026-03-03')];
    await store.putRounds('kowhai', { ...went, alerts: [], days });
    await store.putRounds('kowhai', { ...went, alerts: [], dropBefore: '2026-03-03' });
    expect((await store.rounds('kowhai')).days).toEqual([days[2]]);
  });

  test('what nobody wants to hear of is kept by fault and point', async () => {
    const { store } = given();
    const shelf = { fault: 'sensor-silent', point: 'pump/flow', until: T0 } as const;
    await store.shelve('kowhai', shelf);
    await store.shelve('kowhai', { ...shelf, until: T0 + 1 });
    await store.shelve('kowhai', { fault: 'late-start', point: null, until: T0 });
    expect(await store.shelves('kowhai')).toEqual([
      { fault: 'late-start', point: null, until: T0 },
      { ...shelf, until: T0 + 1 },
    ]);
  });

  test('a tub that is forgotten takes its alerts along, and none are written after it', async () => {
    const { store } = given();
    for (const tub of ['kowhai', 'rimu']) {
      await keep(store, [reading('pump/running', T0, 1, tub)]);
      await store.putRounds(tub, { ...went, alerts: [alert('a')], days: [day('2026-03-01')] });
    }
    await store.forgetTub('kowhai');
    await store.putRounds('kowhai', { ...went, alerts: [alert('a')] });
    expect(await store.alerts('kowhai', false)).toEqual([]);
    expect(await store.rounds('kowhai')).toEqual({ days: [], to: null, left: null });
    expect(await store.alerts('rimu', false)).toHaveLength(1);
  });
}

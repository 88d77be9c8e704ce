import { expect, test } from 'vitest';
import type { NewNotice, Subscription } from '../../../collector-service/store/store.ts';
import type { AlertRecord } from '../../../model/alerts/alert-life.ts';
import type { Message } from '../../../model/alerts/notice.ts';
import { DAY, type Given, keep, reading, T0 } from './sample.ts';

const message: Message = {
  event: 'raised',
  severity: 'act',
  tub: 'kowhai',
  title: 'Kōwhai Terrace',
  text: 'The pump stands still. Check its plug.',
  alerts: [],
  at: '2026-03-01T02:00:00.000Z',
};
const notice = (more: Partial<NewNotice> = {}): NewNotice => ({
  tub: 'kowhai',
  channel: 'push',
  target: 'phone 1',
  about: [{ alert: 'a', kind: 'raised', severity: 'act' }],
  message,
  madeAt: T0,
  ...more,
});
const standing: AlertRecord = {
  id: 'a',
  fault: 'pump-not-running',
  point: null,
  severity: 'act',
  since: T0,
  raisedAt: T0,
  until: null,
  unknownSince: null,
  costKwh: null,
  evidence: {},
};
const went = { setupId: 1, days: [], to: T0, dropBefore: null };
const subscription = (phone: string, more: Partial<Subscription> = {}): Subscription => ({
  phone,
  endpoint: `https://push.example/${phone}`,
  p256dh: 'key',
  auth: 'secret',
  wishes: { quiet: { from: '21:00', to: '08:00' }, least: 'act', actAtNight: true },
  ...more,
});
const phone = (id: string) => ({
  ...{ id, name: id, right: 'viewer' as const, tubs: null, until: null, pairedAt: T0 },
});

export function noticesArePromised(given: Given): void {
  test('a notice that is kept is due at once, comes back whole, and is told of', async () => {
    const { store, reopen } = given();
    await keep(store, [reading('pump/running', T0, 1)]);
    const kept = (await store.addNotice(notice()))!;
    for (const handle of [store, await reopen()]) {
      expect(await handle.dueNotices(T0 - 1)).toEqual([]);
      expect(await handle.dueNotices(T0)).toEqual([{ ...notice(), id: kept.id, tries: 0 }]);
      const { message: _, ...told } = notice();
      expect(await handle.told('kowhai')).toEqual([{ ...told, id: kept.id, came: 'waits' }]);
      expect(await handle.told('rimu')).toEqual([]);
    }
  });

  test('what came of a try decides when a notice is due again, and what is known of its channel', async () => {
    const { store } = given();
    await keep(store, [reading('pump/running', T0, 1)]);
    const { id } = (await store.addNotice(notice()))!;
    const record = () => store.channelRecord('push');
    expect(await record()).toEqual({ sentAt: null, waiting: 1, trouble: null });
    const trouble = 'It could not be reached.';
    await store.noticeTried(id, { at: T0 + 5, due: T0 + 60_000, sentAt: null, trouble });
    expect(await store.dueNotices(T0 + 59_999)).toEqual([]);
    expect(await store.dueNotices(T0 + 60_000)).toMatchObject([{ id, tries: 1 }]);
    expect(await record()).toEqual({ sentAt: null, waiting: 1, trouble });
    await store.noticeTried(id, { at: T0 + 60_001, due: null, sentAt: T0 + 60_001, trouble: null });
    expect(await store.dueNotices(T0 + DAY)).toEqual([]);
    expect(await store.told('kowhai')).toMatchObject([{ came: 'yes' }]);
    expect(await record()).toEqual({ sentAt: T0 + 60_001, waiting: 0, trouble: null });
    const lost = (await store.addNotice(notice({ channel: 'mail' })))!;
    await store.noticeTried(lost.id, { at: T0 + 9, due: null, sentAt: null, trouble });
    expect(await store.told('kowhai')).toMatchObject([{ came: 'yes' }, { came: 'no' }]);
    expect(await record()).toEqual({ sentAt: T0 + 60_001, waiting: 0, trouble: null });
    expect(await store.channelRecord('mail')).toEqual({ sentAt: null, waiting: 0, trouble });
  });

  test('a notice that was taken back is gone, and its number is never given again', async () => {
    const { store } = given();
    await keep(store, [reading('pump/running', T0, 1)]);
    const first = (await store.addNotice(notice()))!;
    await store.dropNotice(first.id);
    expect(await store.told('kowhai')).toEqual([]);
    expect((await store.addNotice(notice()))!.id).toBeGreaterThan(first.id);
  });

  test('old notices go, but those that wait and those of alerts that stand', async () => {
    const { store } = given();
    await keep(store, [reading('pump/running', T0, 1)]);
    const over = { ...standing, id: 'b', until: T0 + 1 };
    await store.putRounds('kowhai', { ...went, alerts: [standing, over] });
    const about = (...ids: string[]) =>
      ids.map((alert) => ({ alert, kind: 'raised' as const, severity: 'act' as const }));
    const add = async (more: Partial<NewNotice>, isSent = true) => {
      const { id } = (await store.addNotice(notice(more)))!;
      const sent = { at: T0, due: null, sentAt: T0, trouble: null };
      if (isSent) await store.noticeTried(id, sent);
      return id;
    };
    await add({ about: about('b') });
    const stands = await add({ about: about('b', 'a') });
    const waits = await add({ about: about('b') }, false);
    const young = await add({ about: about('b'), madeAt: T0 + 1 });
    await store.dropNotices(T0 + 1);
    expect((await store.told('kowhai')).map(({ id }) => id)).toEqual([stands, waits, young]);
  });

  test('a tub that is forgotten takes its notices along, and gets no more', async () => {
    const { store } = given();
    await keep(store, [reading('pump/running', T0, 1), reading('a', T0, 1, 'rimu')]);
    await store.addNotice(notice());
    await store.addNotice(notice({ tub: 'rimu' }));
    await store.forgetTub('kowhai');
    expect(await store.addNotice(notice())).toBeNull();
    expect((await store.dueNotices(T0)).map(({ tub }) => tub)).toEqual(['rimu']);
  });

  test('alerts that stand or ended lately are found, those that were called no fault too', async () => {
    const { store } = given();
    await keep(store, [reading('pump/running', T0, 1)]);
    const alerts = [
      { ...standing, id: 'stands' },
      { ...standing, id: 'old', until: T0 + 9 },
      { ...standing, id: 'ended', until: T0 + 10 },
      { ...standing, id: 'dismissed' },
    ];
    await store.putRounds('kowhai', { ...went, alerts });
    await store.dismiss('kowhai', 'dismissed', T0 + 11);
    await store.putRounds('kowhai', { ...went, alerts: [{ ...alerts[3]!, until: T0 + 5 }] });
    const found = async (since: number) =>
      (await store.alertsSince('kowhai', since)).map(({ id }) => id).sort();
    expect(await found(T0 + 10)).toEqual(['dismissed', 'ended', 'stands']);
    expect(await found(T0 + 12)).toEqual(['stands']);
  });

  test('a phone has one subscription, an endpoint one phone, and only a phone that is paired', async () => {
    const { store, reopen } = given();
    await store.addPhone(phone('1'), 'hash 1');
    await store.addPhone(phone('2'), 'hash 2');
    expect(await store.subscribe(subscription('1'))).toBe(true);
    expect(await store.subscribe(subscription('nobody'))).toBe(false);
    const moved = subscription('1', { endpoint: 'https://push.example/new' });
    await store.subscribe(moved);
    expect(await (await reopen()).subscriptions()).toEqual([moved]);
    const taken = subscription('2', { endpoint: moved.endpoint });
    await store.subscribe(taken);
    expect(await store.subscriptions()).toEqual([taken]);
    expect(await store.unsubscribe('1')).toBe(false);
    expect(await store.unsubscribe('2')).toBe(true);
    expect(await store.subscriptions()).toEqual([]);
  });

  test('with a phone go its subscription and what was to be told by it', async () => {
    const { store } = given();
    await keep(store, [reading('pump/running', T0, 1)]);
    for (const id of ['1', '2']) {
      await store.addPhone(phone(id), `hash ${id}`);
      await store.subscribe(subscription(id));
      await store.addNotice(notice({ target: id }));
    }
    await store.addNotice(notice({ channel: 'mail', target: '1' }));
    await store.removePhone('1');
    expect((await store.subscriptions()).map(({ phone }) => phone)).toEqual(['2']);
    const left = (await store.told('kowhai')).map(({ channel, target }) => [channel, target]);
    expect(left).toEqual([
      ['push', '2'],
      ['mail', '1'],
    ]);
  });
}

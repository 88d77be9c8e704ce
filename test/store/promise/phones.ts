import { expect, test } from 'vitest';
import type { PairingLink, Phone } from '../../../collector-service/store/store.ts';
import { DAY, type Given, T0 } from './sample.ts';

const phone = (id: string, change: Partial<Phone> = {}): Omit<Phone, 'seenAt'> => ({
  id,
  name: `phone ${id}`,
  right: 'full',
  tubs: null,
  until: null,
  pairedAt: T0,
  ...change,
});

const link = (id: string, change: Partial<PairingLink> = {}): PairingLink => ({
  id,
  right: 'viewer',
  tubs: ['kowhai', 'rimu'],
  until: T0 + 7 * DAY,
  expires: T0 + 600_000,
  ...change,
});

export function phonesArePromised(given: Given): void {
  test('a phone is found by the hash of its cookie alone, which nothing gives out again', async () => {
    const { store } = given();
    const [one, two] = [
      phone('1', { right: 'viewer', tubs: [], until: T0 + DAY }),
      phone('2', { tubs: ['kowhai'], pairedAt: T0 - 1 }),
    ];
    await store.addPhone(one, 'hash one');
    await store.addPhone(two, 'hash two');
    expect(await store.phoneByCookie('hash one')).toEqual({ ...one, seenAt: null });
    expect(await store.phoneByCookie('HASH ONE')).toBeNull();
    expect(await store.phoneByCookie('1')).toBeNull();
    expect(await store.phones()).toEqual([
      { ...two, seenAt: null },
      { ...one, seenAt: null },
    ]);
    expect(JSON.stringify(await store.phones())).not.toMatch(/hash/);
  });

  test('two phones share neither an id nor a cookie', async () => {
    const { store } = given();
    await store.addPhone(phone('1'), 'hash');
    await expect(store.addPhone(phone('1'), 'other hash')).rejects.toThrow();
    await expect(store.addPhone(phone('2'), 'hash')).rejects.toThrow();
    expect(await store.phones()).toHaveLength(1);
  });

  test('a phone that is seen says when; one that is removed is out at once, on every handle', async () => {
    const { store, reopen } = given();
    const other = await reopen();
    await store.addPhone(phone('1'), 'hash');
    await other.phoneSeen('1', T0 + 5);
    await store.phoneSeen('nobody', T0 + 9);
    expect((await store.phoneByCookie('hash'))!.seenAt).toBe(T0 + 5);
    expect(await other.removePhone('1')).toBe(true);
    expect(await store.phoneByCookie('hash')).toBeNull();
    expect(await store.removePhone('1')).toBe(false);
    expect(await store.phones()).toEqual([]);
  });

  test('a link is taken once, by the hash of its code', async () => {
    const { store } = given();
    await store.addLink(link('1'), 'hash');
    expect(await store.links()).toEqual([link('1')]);
    expect(JSON.stringify(await store.links())).not.toMatch(/hash/);
    expect(await store.takeLink('1', T0)).toBeNull();
    expect(await store.takeLink('hash', T0)).toEqual(link('1'));
    expect(await store.takeLink('hash', T0)).toBeNull();
    expect(await store.links()).toEqual([]);
  });

  test('of many who take a link at the same time, on two handles, one gets it', async () => {
    const { store, reopen } = given();
    const other = await reopen();
    await store.addLink(link('1'), 'hash');
    const taken = await Promise.all(
      [store, other, store, other].map((handle) => handle.takeLink('hash', T0)),
    );
    expect(taken.filter((each) => each !== null)).toEqual([link('1')]);
  });

  test('a link that has expired is not taken, and goes', async () => {
    const { store } = given();
    await store.addLink(link('1', { expires: T0 }), 'hash 1');
    await store.addLink(link('2', { expires: T0 + 1 }), 'hash 2');
    await store.addLink(link('3', { expires: T0 - 1 }), 'hash 3');
    expect(await store.takeLink('hash 1', T0)).toBeNull();
    expect(await store.takeLink('hash 1', T0 - DAY)).toBeNull();
    expect((await store.links()).map(({ id }) => id)).toEqual(['2']);
    expect(await store.takeLink('hash 2', T0)).toMatchObject({ id: '2' });
  });

  test('a link that is removed cannot be taken', async () => {
    const { store } = given();
    await store.addLink(link('1', { tubs: null, until: null }), 'hash');
    expect(await store.removeLink('1')).toBe(true);
    expect(await store.removeLink('1')).toBe(false);
    expect(await store.takeLink('hash', T0)).toBeNull();
  });
}

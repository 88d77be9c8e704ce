import { expect, test } from 'vitest';
import type { Store } from '../../../collector-service/store/store.ts';
import type { Setup } from '../../../model/setup.ts';
import { DAY, type Given, T0 } from './sample.ts';

const setup = (name: string): Setup => ({
  tubs: [
    {
      id: 'kowhai',
      name,
      place: { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' },
    },
  ],
});

const names = async (store: Store) =>
  (await store.setupVersions()).map((version) => version.setup.tubs[0]!.name);

export function setupsArePromised(given: Given): void {
  test('there is none before the first', async () => {
    expect(await given().store.setupVersions()).toEqual([]);
  });

  test('versions come back whole and in the order in which they were made', async () => {
    const { store, reopen } = given();
    const made = [
      { from: -Infinity, setup: setup('Kōwhai Terrace'), madeAt: T0 },
      { from: T0 + DAY, setup: setup('“two”\u0000\n🌿'), madeAt: T0 + 1 },
      { from: T0 - DAY, setup: setup('three'), madeAt: T0 + 2 },
    ];
    const added = [];
    for (const version of made) added.push(await store.addSetup(version));
    expect(added.map(({ id, ...version }) => version)).toEqual(made);
    expect(new Set(added.map(({ id }) => id)).size).toBe(3);
    expect(await store.setupVersions()).toEqual(added);
    expect(await (await reopen()).setupVersions()).toEqual(added);
  });

  test('a version that asks for the newest one is refused once another came between', async () => {
    const { store } = given();
    const version = (name: string) => ({ from: -Infinity, setup: setup(name), madeAt: T0 });
    const refused = {
      code: 'SUNSTEEP_SETUP_CHANGED',
      message: expect.stringMatching(/read it again/),
    };
    const first = await store.addSetup(version('first'), null);
    await expect(store.addSetup(version('late'), null)).rejects.toMatchObject(refused);
    const second = await store.addSetup(version('second'), first.id);
    await expect(store.addSetup(version('late'), first.id)).rejects.toMatchObject(refused);
    await store.addSetup(version('third'), second.id);
    await store.addSetup(version('whatever'));
    expect(await names(store)).toEqual(['first', 'second', 'third', 'whatever']);
  });

  test('what a version changes is marked with it, and not where the version is refused', async () => {
    const { store } = given();
    const version = { from: T0, setup: setup('first'), madeAt: T0 };
    const change = { tub: 'kowhai', from: T0, to: T0 + DAY };
    await expect(store.addSetup(version, 1, [change])).rejects.toThrow(/read it again/);
    expect(await store.dirty()).toEqual([]);
    await store.addSetup(version, null, [change]);
    expect(await store.dirty()).toEqual([expect.objectContaining({ ...change, point: null })]);
  });

  test('of two handles that add to the same version one is refused', async () => {
    const { store, reopen } = given();
    const { id } = await store.addSetup({ from: -Infinity, setup: setup('first'), madeAt: T0 });
    const results = await Promise.allSettled(
      [store, await reopen()].map((handle, i) =>
        handle.addSetup({ from: T0, setup: setup(`by ${i}`), madeAt: T0 }, id),
      ),
    );
    expect(results.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected']);
    expect(await names(store)).toHaveLength(2);
  });
}

import { expect, test } from 'vitest';
import { day, type Given, keep, reading, T0 } from './sample.ts';

export function daysArePromised(given: Given): void {
  const heard = async () => {
    const { store } = given();
    await keep(store, [reading('a', T0, 1), reading('a', T0, 1, 'other')]);
    return store;
  };

  test('days come back whole and in the order of their dates, of one tub', async () => {
    const store = await heard();
    expect(await store.days('kowhai')).toEqual([]);
    const days = [day('2025-12-31'), day('2026-01-01', { after: null }), day('2026-03-01')];
    await store.putDays('kowhai', [...days].reverse(), []);
    await store.putDays('other', [day('2026-02-01')], []);
    expect(await store.days('kowhai')).toEqual(days);
  });

  test('a day replaces the one of its date, and takes away the marks that it is given', async () => {
    const store = await heard();
    await store.putDays('kowhai', [day('2026-02-28'), day('2026-03-01')], []);
    const [mark, other] = await store.dirty();
    const again = day('2026-03-01', {
      before: { tubC: 36, heardTo: null, referenceC: 20, heats: false, seen: [] },
    });
    await store.putDays('kowhai', [again], [mark!]);
    expect(await store.days('kowhai')).toEqual([day('2026-02-28'), again]);
    expect(await store.dirty()).toEqual([other]);
  });

  test('a mark grown by another handle of the same data outlives putDays', async () => {
    const store = await heard();
    const begun = await store.dirty();
    await keep(await given().reopen(), [reading('a', T0 + 1, 1)]);
    await store.putDays('kowhai', [], begun);
    expect((await store.dirty()).map(({ tub, to }) => [tub, to])).toEqual([['kowhai', T0 + 1]]);
  });

  test('the days of one tub can be forgotten', async () => {
    const store = await heard();
    await store.putDays('kowhai', [day('2026-03-01')], []);
    await store.putDays('other', [day('2026-03-01')], []);
    await store.clearDays('kowhai');
    expect(await store.days('kowhai')).toEqual([]);
    expect(await store.days('other')).toHaveLength(1);
  });

  test('a tub that is forgotten has no days, nor gets any from work that ends later', async () => {
    const store = await heard();
    await store.putDays('kowhai', [day('2026-03-01')], []);
    await store.forgetTub('kowhai');
    await store.putDays('kowhai', [day('2026-03-02')], []);
    expect(await store.days('kowhai')).toEqual([]);
  });
}

import { expect, test } from 'vitest';
import { type Given, keep, QUARTER, quarter, reading, T0 } from './sample.ts';

export function ledgerIsPromised(given: Given): void {
  const heard = async () => {
    const { store } = given();
    await keep(store, [reading('a', T0, 1), reading('a', T0, 1, 'other')]);
    return store;
  };
  const at = (n: number) => T0 + n * QUARTER;

  test('rows come back as they were written, unknown as null and never as zero', async () => {
    const store = await heard();
    const rows = [
      quarter(at(0)),
      quarter(at(1), { gainKwh: 0, lostKwh: 1e-300, measuredKwh: 0, basis: 'measured' }),
      quarter(at(2), {
        gainKwh: null,
        lostKwh: null,
        basis: null,
        coveredMs: 0,
        litres: null,
        pumpKwh: null,
        tubC: null,
        tubLowC: null,
        tubHighC: null,
      }),
      quarter(at(3), { basis: 'mixed', tubLowC: -3.5 }),
    ];
    await store.putLedger('kowhai', [...rows].reverse(), { from: at(0), to: at(4) }, []);
    expect(await store.ledger('kowhai', at(0), at(4))).toEqual(rows);
  });

  test('a ledger is read with from ≤ quarter < to, of one tub', async () => {
    const store = await heard();
    const span = { from: at(0), to: at(4) };
    const rows = [0, 1, 2, 3].map((n) => quarter(at(n)));
    await store.putLedger('kowhai', rows, span, []);
    await store.putLedger('other', [quarter(at(1), { gainKwh: 9 })], span, []);
    expect(await store.ledger('kowhai', at(1), at(3))).toEqual(rows.slice(1, 3));
    expect(await store.ledger('other', -Infinity, Infinity)).toEqual([
      quarter(at(1), { gainKwh: 9 }),
    ]);
  });

  test('what is written replaces all rows of its span, and leaves the rows around it', async () => {
    const store = await heard();
    const rows = [0, 1, 2, 3].map((n) => quarter(at(n)));
    await store.putLedger('kowhai', rows, { from: at(0), to: at(4) }, []);
    const again = quarter(at(2), { gainKwh: 7 });
    await store.putLedger('kowhai', [again], { from: at(1), to: at(3) }, []);
    expect(await store.ledger('kowhai', at(0), at(4))).toEqual([rows[0], again, rows[3]]);
  });

  test('a row beyond the span replaces the one of its quarter', async () => {
    const store = await heard();
    await store.putLedger('kowhai', [quarter(at(5))], { from: at(5), to: at(6) }, []);
    const again = quarter(at(5), { gainKwh: 7 });
    await store.putLedger('kowhai', [again], { from: at(0), to: at(1) }, []);
    expect(await store.ledger('kowhai', at(0), at(9))).toEqual([again]);
  });

  test('rows that cannot be written leave the old rows and the marks', async () => {
    const store = await heard();
    const rows = [quarter(at(0))];
    await store.putLedger('kowhai', rows, { from: at(0), to: at(1) }, []);
    const marks = await store.dirty();
    const bad = [quarter(at(0), { gainKwh: 3 }), quarter(at(1), { coveredMs: Number.NaN })];
    await expect(
      store.putLedger('kowhai', bad, { from: at(0), to: at(2) }, marks),
    ).rejects.toThrow();
    expect(await store.ledger('kowhai', at(0), at(9))).toEqual(rows);
    expect(await store.dirty()).toEqual(marks);
  });

  test('work that ends after its tub was forgotten writes nothing', async () => {
    const store = await heard();
    const marks = await store.dirty();
    await store.forgetTub('kowhai');
    await store.putLedger('kowhai', [quarter(at(0))], { from: at(0), to: at(1) }, marks);
    expect(await store.ledger('kowhai', at(0), at(9))).toEqual([]);
    expect(await store.tubs()).toEqual([{ tub: 'other', arrivedAt: T0 }]);
  });
}

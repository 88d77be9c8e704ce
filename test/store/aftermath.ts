import { join } from 'node:path';
import { expect } from 'vitest';
import { openStore } from '../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../collector-service/store/store.ts';
import type { Reading } from '../../model/readings.ts';
import { quickFolder } from './folders.ts';
import { expectSound, inside, rowsOf } from './inside.ts';
import { type Act, Living, PRESENT, TUB } from './life.ts';

/** What was asked of a store: what it acknowledged, what it was about, and all that was ever begun. */
export type Lived = Pick<Living, 'acknowledged' | 'underWay' | 'begun'>;

/** What a store says of its tub once all is worked out. */
interface WorkedOut {
  ledger: unknown[];
  days: unknown[];
}

/**
 * Judges stores after a fault: whatever was acknowledged is there, once; what was under way wholly or not at
 * all; and what is worked out is, to the last bit, what a new store works out from the same readings.
 */
export class Aftermath {
  /** By what it was worked out from. */
  private readonly clean = new Map<string, WorkedOut>();

  /** @returns whether what was under way is there */
  async judge(folder: string, lived: Lived): Promise<boolean> {
    const isThere = this.judgeRows(folder, lived);
    const store = openStore(folder);
    await workOut(store);
    await this.judgeWork(store, lived);
    await store.close();
    return isThere;
  }

  private judgeRows(folder: string, { acknowledged, underWay }: Lived): boolean {
    return inside(folder, (db) => {
      expect(db.pragma('integrity_check', { simple: true })).toBe('ok');
      const rows = rowsOf(db);
      if (rows.size > 0) expectSound(db);
      const [without, withIt] = [rowsAfter(acknowledged), rowsAfter([...acknowledged, underWay])];
      const isThere = same(rows, withIt);
      expect(rows).toEqual(isThere ? withIt : without);
      return isThere;
    });
  }

  /** Nothing is left to be done, and what was done is what a new store makes of the same. */
  async judgeWork(store: Store, { acknowledged, begun }: Lived): Promise<void> {
    expect(await store.dirty()).toEqual([]);
    const [setups, log] = [await store.setupVersions(), await store.logEntries(TUB)];
    for (const [does, found] of [
      ['set up', setups.length],
      ['log', log.length],
    ] as const) {
      const count = (acts: readonly Act[]) => acts.filter((act) => act.does === does).length;
      expect(found).toBeGreaterThanOrEqual(count(acknowledged));
      expect(found).toBeLessThanOrEqual(count(begun));
    }
    await this.judgeLedger(store);
  }

  /** What was worked out is what a new store works out from the same. */
  async judgeLedger(store: Store): Promise<void> {
    expect(await workedOut(store)).toEqual(await this.cleanly(store));
  }

  /** What a new store works out from everything that a store holds, kept at once. */
  private async cleanly(store: Store): Promise<WorkedOut> {
    const readings = await allOf(store);
    const [setups, log] = [await store.setupVersions(), await store.logEntries(TUB)];
    const key = JSON.stringify([readings, setups, log.map(({ id, ...entry }) => entry)]);
    const known = this.clean.get(key);
    if (known) return known;
    const { folder, remove } = quickFolder();
    const other = openStore(join(folder, 'clean'));
    for (const { from, setup, madeAt } of setups) await other.addSetup({ from, setup, madeAt });
    for (const entry of log.reverse()) await other.addLogEntry(TUB, entry, PRESENT);
    if (readings.length > 0) await other.keep({ readings, unreadable: [], at: PRESENT });
    await workOut(other);
    const found = await workedOut(other);
    await other.close();
    remove();
    this.clean.set(key, found);
    return found;
  }
}

/** Takes a store's work up where it was left, as a service that starts again, and ends it. */
export async function workOut(store: Store): Promise<void> {
  const living = new Living(store);
  await living.start();
  await living.settled();
  await living.stop();
  expect(living.failures).toEqual([]);
}

async function workedOut(store: Store): Promise<WorkedOut> {
  return {
    ledger: await store.ledger(TUB, Number.MIN_SAFE_INTEGER, Number.MAX_SAFE_INTEGER),
    days: await store.days(TUB),
  };
}

async function allOf(store: Store): Promise<Reading[]> {
  return store.page(TUB, await store.points(TUB), -8.64e15, 8.64e15, 1e6);
}

/** The greatest value of each time of each point. */
function rowsAfter(acts: readonly (Act | null)[]): Map<string, number> {
  const rows = new Map<string, number>();
  for (const act of acts) {
    if (act?.does !== 'keep') continue;
    for (const { tub, point, t, value } of act.arrivals.readings) {
      const key = `${tub} ${point} ${t}`;
      rows.set(key, Math.max(rows.get(key) ?? Number.NEGATIVE_INFINITY, value));
    }
  }
  return rows;
}

const same = (a: ReadonlyMap<string, number>, b: ReadonlyMap<string, number>): boolean =>
  a.size === b.size && [...a].every(([key, value]) => b.get(key) === value);

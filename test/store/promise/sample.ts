import type { DirtyMark, Store, Unreadable } from '../../../collector-service/store/store.ts';
import type { DayFigures } from '../../../model/day-figures.ts';
import type { Quarter } from '../../../model/ledger.ts';
import type { Reading, Trace } from '../../../model/readings.ts';

/** A store under test, opened anew for each test. */
export interface Opened {
  store: Store;
  /** One more handle of the same data, as another process would open it. */
  reopen(): Promise<Store>;
  end(): Promise<void>;
}

export type Given = () => Opened;

/** A quarter's first instant. */
export const T0 = Date.parse('2026-03-01T02:00:00Z');
export const MINUTE = 60_000;
export const HOUR = 60 * MINUTE;
export const DAY = 24 * HOUR;
export const QUARTER = 15 * MINUTE;

export const reading = (point: string, t: number, value: number, tub = 'kowhai'): Reading => ({
  tub,
  point,
  t,
  value,
});

export const keep = (store: Store, readings: Reading[], at = T0): Promise<void> =>
  store.keep({ readings, unreadable: [], at });

export const keepUnreadable = (store: Store, unreadable: Unreadable[], at: number): Promise<void> =>
  store.keep({ readings: [], unreadable, at });

/** A trace as pairs, which are easier to compare and to read in a failure. */
export const pairs = (trace: Trace | undefined): [number, number][] | undefined =>
  trace && Array.from(trace.t, (t, i) => [t, trace.v[i]!]);

export async function everything(store: Store, tub: string): Promise<Record<string, unknown>> {
  const traces = await store.traces(tub, await store.points(tub), -Infinity, Infinity);
  return Object.fromEntries([...traces].map(([point, trace]) => [point, pairs(trace)]));
}

/** Whether some mark says that a point's reading at `t` changed. */
export const covered = (marks: readonly DirtyMark[], point: string | null, t: number): boolean =>
  marks.some((mark) => mark.point === point && mark.from <= t && t <= mark.to);

/** Works everything out that is marked, as far as the store can tell. */
export const workedOut = async (store: Store, tub = 'kowhai'): Promise<void> =>
  store.putLedger(tub, [], { from: 0, to: 0 }, await store.dirty());

export const quarter = (from: number, change: Partial<Quarter> = {}): Quarter => ({
  from,
  gainKwh: 0.125,
  lostKwh: 0,
  measuredKwh: null,
  basis: 'estimated',
  coveredMs: 899_999,
  flowUncertaintyKwh: 0.01,
  pairUncertaintyKwh: 0.02,
  driveKwhMinPerL: 0.03,
  driveMs: 900_000,
  standingKwhPerL: 0.01,
  collectorC: 51.5,
  airC: null,
  sunKwhPerM2: 0.2,
  backupKwh: 0.5,
  coverOpenMs: 0,
  filterOnMs: null,
  lossUncertaintyKwh: 0.03,
  litres: 63.5,
  pumpOnMs: 1000,
  pumpKnownMs: 900_000,
  pumpKwh: 0.003,
  tubC: 37.25,
  tubLowC: 37,
  tubHighC: 37.5,
  ...change,
});

const value = { value: 8.4, uncertainty: 0.6, readingsFrom: T0, readingsTo: null };

export const day = (date: string, change: Partial<DayFigures> = {}): DayFigures => ({
  date,
  evidence: null,
  learned: {
    lossWPerK: { ...value, basis: 'learned' },
    flowLPerMin: { ...value, basis: 'set-up' },
    standingLitres: { ...value, basis: 'set-up' },
  },
  expected: { expectedKwh: 6.25, sunKwhPerM2: 0.1 + 0.2 },
  before: null,
  spoilt: [],
  saved: null,
  after: { tubC: 37.4, heardTo: null, referenceC: 1e-7, heats: false, seen: [] },
  ...change,
});

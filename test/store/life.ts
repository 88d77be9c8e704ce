import type { Arrivals, Store } from '../../collector-service/store/store.ts';
import { Watch } from '../../collector-service/watch/watch.ts';
import type { NewLogEntry } from '../../model/owner-log.ts';
import type { Reading } from '../../model/readings.ts';
import type { Setup } from '../../model/setup.ts';
import type { Chance } from './crash-image.ts';

/** The life of a small store, drawn by chance: what a board sends, what an owner enters, and the work on it. */

export const TUB = 'kowhai';
const MINUTE = 60_000;
/** Eleven in the morning at the place. */
const START = Date.parse('2026-02-01T22:00:00Z');
const HOURS = 3;
/** When it all is looked at: by then every day is over. */
export const PRESENT = START + 30 * 60 * MINUTE;

/** One thing that happens; done once it is acknowledged. */
export type Act =
  | { does: 'keep'; arrivals: Arrivals }
  | { does: 'set up'; setup: Setup; from: number }
  | { does: 'log'; entry: NewLogEntry }
  | { does: 'work out' };

export const setupOf = (litres: number): Setup => ({
  tubs: [
    {
      id: TUB,
      place: { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' },
      tub: { litres },
      longestGapMin: Object.fromEntries(points.map((point) => [point, 20])),
    },
  ],
});

const points = [
  'tub/temperature',
  'collector/inlet',
  'collector/outlet',
  'pump/running',
  'pump/flow',
] as const;

/** @param readings  how many a message brings, about */
export function livesOf(chance: Chance, readings: number): Act[] {
  const sent = shuffled(metered(chance), chance);
  const acts: Act[] = [{ does: 'set up', setup: setupOf(1200), from: Number.NEGATIVE_INFINITY }];
  for (let n = 0, i = 0; i < sent.length; n++) {
    const count = 1 + Math.floor(chance() * 2 * readings);
    const unreadable =
      chance() < 0.2 ? [{ topic: 'shed/x', payload: String(n), why: 'no number' }] : [];
    const arrivals = { readings: sent.slice(i, i + count), unreadable, at: START + n };
    acts.push({ does: 'keep', arrivals });
    i += count;
    if (chance() < 0.4) acts.push({ does: 'work out' });
    if (chance() < 0.06) acts.push({ does: 'set up', setup: setupOf(1000 + n), from: at(chance) });
    if (chance() < 0.06) acts.push({ does: 'log', entry: bath(at(chance)) });
  }
  return acts;
}

const at = (chance: Chance) => START + Math.floor(chance() * HOURS * 4) * 15 * MINUTE;

const bath = (from: number): NewLogEntry => ({
  kind: 'bathing',
  from: new Date(from).toISOString(),
  until: new Date(from + 20 * MINUTE).toISOString(),
});

/** A metered loop that starts, stops and starts again, each sensor in a rhythm of its own. */
function metered(chance: Chance): Reading[] {
  const all: Reading[] = [];
  const isOn = (minute: number) => (minute > 20 && minute < 80) || minute > 110;
  for (const [i, point] of points.entries()) {
    for (let minute = i / 7; minute < HOURS * 60; minute += 3 + 6 * chance()) {
      const on = isOn(minute) ? 1 : 0;
      const inC = 34 + minute / 60 + 0.2 * chance();
      const values = [inC, inC, inC + 5 * on + 8 * (1 - on), on, on * (4 + 0.3 * chance())];
      all.push({ tub: TUB, point, t: START + Math.round(minute * MINUTE), value: values[i]! });
    }
  }
  return all;
}

/** Most of it in order, some late, some twice, some first with a lesser value, which then has to give way. */
function shuffled(readings: readonly Reading[], chance: Chance): Reading[] {
  const due = readings.flatMap((reading) => {
    const late = chance() < 0.15 ? chance() * HOURS * 60 * MINUTE : 0;
    const sent = [{ reading, at: reading.t + late }];
    if (chance() < 0.1) sent.push({ reading, at: reading.t + chance() * 60 * MINUTE });
    if (chance() < 0.1 && reading.point !== 'pump/running') {
      const lesser = { ...reading, value: reading.value - 1 };
      sent.push({ reading: lesser, at: reading.t + chance() * 60 * MINUTE });
    }
    return sent;
  });
  return due.sort((a, b) => a.at - b.at).map(({ reading }) => reading);
}

/** Who lives it: a store with the work on it, as in the service. */
export class Living {
  /** What was said to be done, in order. */
  readonly acknowledged: Act[] = [];
  /** What is being done. */
  underWay: Act | null = null;
  /** Everything that was begun, again and again where it failed. */
  readonly begun: Act[] = [];
  readonly failures: unknown[] = [];
  private readonly store: Store;
  private readonly watch: Watch;

  constructor(store: Store) {
    this.store = store;
    this.watch = new Watch({
      ...{ store, clock: { now: () => PRESENT }, earlier: () => new Map() },
      failed: (error) => this.failures.push(error),
    });
  }

  start = (): Promise<void> => this.watch.start();
  stop = (): Promise<void> => this.watch.stop();
  settled = (): Promise<void> => this.watch.settled();

  /** @throws whatever hindered it: it is then not acknowledged */
  async do(act: Act): Promise<void> {
    this.underWay = act;
    this.begun.push(act);
    if (act.does === 'keep') {
      await this.store.keep(act.arrivals);
      this.watch.heard(new Map([[TUB, act.arrivals.readings[0]!.t]]));
    } else if (act.does === 'set up') await this.watch.putSetup(act.setup, act.from);
    else if (act.does === 'log') await this.watch.addLog(TUB, act.entry);
    else await this.watch.settled();
    this.underWay = null;
    this.acknowledged.push(act);
  }
}

import type { Store } from '../../../collector-service/store/store.ts';
import { Watch } from '../../../collector-service/watch/watch.ts';
import type { Reading } from '../../../model/readings.ts';
import type { TubSetup } from '../../../model/setup.ts';
import { inside } from '../inside.ts';
import { END, place, START } from './kept.ts';

/** What a document that is kept as JSON looks like: what each of its parts is, and what is in it. */
export interface Shape {
  is: string[];
  holds: Record<string, Shape>;
}

/** What is kept of days, by table. */
export type DayShapes = Record<'day' | 'day_facts', Shape>;

const MINUTE = 60_000;
const EVERY = 10; // min
const HOURS_BEFORE = 24;

/** Three days of a tub with the full kit, so that hardly anything of its days is unknown. */
function readings(): Reading[] {
  const all: Reading[] = [];
  for (let t = START - HOURS_BEFORE * 60 * MINUTE; t < END; t += EVERY * MINUTE) {
    const hour = (((t - START) / MINUTE / 60) % 24) + (t < START ? 24 : 0);
    const sun = Math.max(0, Math.sin(((hour - 7) / 12) * Math.PI));
    const on = sun > 0.4 ? 1 : 0;
    const backup = hour >= 18 && hour < 20 ? 1 : 0;
    const tubC = 36 - 0.1 * ((hour + 5) % 24) + 2 * sun + backup;
    const values: Record<string, number> = {
      'tub/temperature': tubC,
      'tub/cover': 1,
      'tub/level': 1,
      'collector/temperature': 15 + 35 * sun,
      'collector/1/temperature': 14 + 30 * sun,
      'collector/2/temperature': 15 + 35 * sun,
      'collector/inlet': tubC,
      'collector/outlet': tubC + 5 * on,
      'collector/irradiance': 900 * sun,
      'pump/running': on,
      'pump/power': 2 + 13 * on,
      'pump/flow': 4 * on,
      'backup/power': 2000 * backup,
      'filter/running': hour >= 9 && hour < 11 ? 1 : 0,
      'outdoor/temperature': 14 + 6 * sun,
    };
    for (const [point, value] of Object.entries(values)) all.push({ tub: tub.id, point, t, value });
  }
  return all;
}

const tub: TubSetup & { id: string } = {
  id: 'kowhai',
  place,
  tub: { litres: 1100, targetC: 37, limitC: 40 },
  collectors: { count: 2, areaM2: 1.6, tiltDeg: 38, azimuthDeg: 0, eta0: 0.74, a1: 3.9, a2: 0.012 },
  loop: { pipeMetres: 20, flowLPerMin: 4 },
  pump: { watts: 13, standbyWatts: 2 },
  backup: { kind: 'electric', efficiency: 1, watts: 2000 },
  tariff: { currency: 'NZD', otherwise: 0.3, bands: [] },
};

/** What a store keeps of these days, once they are worked out and judged. */
export async function dayShapes(store: Store, folder: string): Promise<DayShapes> {
  const points = new Set(readings().map(({ point }) => point));
  const longestGapMin = Object.fromEntries([...points].map((point) => [point, 3 * EVERY]));
  await store.keep({ readings: readings(), unreadable: [], at: END });
  const watch = new Watch({
    ...{ store, clock: { now: () => END + 6 * 60 * MINUTE }, earlier: () => new Map() },
    failed: (error) => {
      throw error;
    },
  });
  await watch.start();
  await watch.putSetup({ tubs: [{ ...tub, longestGapMin }] }, Number.NEGATIVE_INFINITY);
  await watch.settled();
  while ((await store.rounds(tub.id)).to === null) {
    await watch.tick();
    await new Promise((turn) => setImmediate(turn));
  }
  await watch.stop();
  return inside(folder, (db) => {
    const shapeOfAll = (table: string, column: string) =>
      (db.prepare(`SELECT ${column} FROM ${table} ORDER BY date`).pluck().all() as string[])
        .map((row) => shapeOf(JSON.parse(row)))
        .reduce(merged);
    return { day: shapeOfAll('day', 'figures'), day_facts: shapeOfAll('day_facts', 'facts') };
  });
}

function shapeOf(value: unknown): Shape {
  if (value === null) return { is: ['null'], holds: {} };
  if (Array.isArray(value)) {
    const item = value.length > 0 ? { item: value.map(shapeOf).reduce(merged) } : {};
    return { is: ['list'], holds: item as Record<string, Shape> };
  }
  if (typeof value !== 'object') return { is: [typeof value], holds: {} };
  const parts = Object.entries(value).map(([key, part]): [string, Shape] => [key, shapeOf(part)]);
  return { is: ['record'], holds: Object.fromEntries(parts) };
}

function merged(a: Shape, b: Shape): Shape {
  const holds = { ...a.holds };
  for (const [key, shape] of Object.entries(b.holds)) {
    holds[key] = holds[key] ? merged(holds[key], shape) : shape;
  }
  return { is: [...new Set([...a.is, ...b.is])].sort(), holds };
}

/**
 * In what two shapes differ; what was nothing or empty all along in one of them tells no difference.
 *
 * @returns a line for each part that one of them has alone or as something else
 */
export function differences(before: Shape, now: Shape, path = ''): string[] {
  const [was, is] = [before, now].map((shape) => shape.is.filter((type) => type !== 'null'));
  if (was!.length === 0 || is!.length === 0) return [];
  if (was!.join() !== is!.join()) return [`${path}: was ${was}, is ${is}`];
  const keys = [before, now].map(({ holds }) => Object.keys(holds));
  if (was!.includes('list') && keys.some(({ length }) => length === 0)) return [];
  return [...new Set(keys.flat())].sort().flatMap((key) => {
    const [old, young] = [before.holds[key], now.holds[key]];
    if (old && young) return differences(old, young, `${path}/${key}`);
    return [`${path}/${key}: is ${old ? 'gone' : 'new'}`];
  });
}

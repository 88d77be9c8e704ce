import type { MqttClient } from 'mqtt';
import type { TubSetup } from '../../../model/setup.ts';
import { kowhaiPlace } from './house.ts';

/** A few sunny hours of a metered loop, as its sensors would have sent them. */

export interface Sent {
  t: number; // ms since 1970-01-01 UTC
  point: string;
  value: number;
}

/** Noon on 2 March 2024 at the place. */
export const START = Date.parse('2024-03-01T23:00:00Z');
export const DATE = '2024-03-02';
const MINUTE = 60_000;

export const metered = (id: string): TubSetup => ({ id, place: kowhaiPlace });

/** Numbers between 0 and 1 that are the same in every run (Park and Miller's generator). */
export function chance(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
}

/**
 * Three hours: the pump starts, stops under a cloud, starts again; each sensor in its own uneven
 * rhythm, with noise, one gap, a spike, a restarted sensor's 85.0 and a counter that is reset.
 */
export function sunnyHours(seed = 7): Sent[] {
  const random = chance(seed);
  const sent: Sent[] = [];
  const pump = (minute: number) => (minute >= 10 && minute < 70) || minute >= 95;
  const every = (point: string, usualMs: number, value: (minute: number) => number | null) => {
    for (let t = START; t < START + 180 * MINUTE; t += Math.round(usualMs * (0.5 + random()))) {
      const now = value((t - START) / MINUTE);
      if (now !== null) sent.push({ t, point, value: Math.round(now * 1000) / 1000 });
    }
  };
  const warm = (minute: number) => 34 + minute / 90;
  every('tub/temperature', 30_000, (m) => warm(m) + 0.1 * (random() - 0.5));
  every('collector/inlet', 20_000, (m) => (m > 120 && m < 133 ? null : warm(m) + 0.05 * random()));
  every('collector/outlet', 20_000, (m) => {
    if (m > 40 && m < 40.4) return 85;
    if (m > 150 && m < 150.3) return -127;
    const lift = pump(m) ? 5 + 2 * Math.sin(m / 20) - (m > 140 && m < 146 ? 8 : 0) : 12;
    return warm(m) + lift + 0.1 * random();
  });
  every('pump/flow', 15_000, (m) => (pump(m) ? 4.1 + 0.2 * random() : 0));
  let litres = 12_300;
  let before = 0;
  every('pump/volume', 60_000, (m) => {
    litres += pump(m) ? 4.2 * (m - before) : 0;
    if (before < 100 && m >= 100) litres = 0;
    before = m;
    return litres;
  });
  every('outdoor/temperature', 120_000, (m) => 19 + m / 100);
  for (const [minute, state] of [
    [0, 0],
    [10, 1],
    [70, 0],
    [95, 1],
  ] as const) {
    sent.push({ t: START + minute * MINUTE, point: 'pump/running', value: state });
  }
  return sent.sort((a, b) => a.t - b.t);
}

/** The same readings in another order, some of them twice, some with a lower value beforehand. */
export function shuffled(readings: readonly Sent[], seed = 11): Sent[] {
  const random = chance(seed);
  const more = readings.flatMap((reading) => {
    const draw = random();
    if (draw < 0.1) return [reading, reading];
    // of two values at one time the greater stays, whichever comes first
    if (draw < 0.15 && reading.point !== 'pump/running') {
      return [reading, { ...reading, value: reading.value - 1 }];
    }
    return [reading];
  });
  for (let i = more.length - 1; i > 0; i--) {
    const j = Math.floor(random() * (i + 1));
    [more[i], more[j]] = [more[j]!, more[i]!];
  }
  return more;
}

/** Publishes readings as SenML packs of a tub, in the order in which they are given. */
export async function publishPacks(
  board: MqttClient,
  tub: string,
  readings: readonly Sent[],
  size = 50,
): Promise<void> {
  const acknowledged: Promise<unknown>[] = [];
  for (let i = 0; i < readings.length; i += size) {
    const records = readings.slice(i, i + size).map(({ t, point, value }) => ({
      n: point,
      t: t / 1000,
      v: value,
    }));
    acknowledged.push(board.publishAsync(`sunsteep/${tub}`, JSON.stringify(records), { qos: 1 }));
  }
  await Promise.all(acknowledged);
}

export function csvOf(tub: string, readings: readonly Sent[]): string {
  const rows = readings.map(
    ({ t, point, value }) => `${new Date(t).toISOString()},${tub},${point},${value}\n`,
  );
  return `time,tub,point,value\n${rows.join('')}`;
}

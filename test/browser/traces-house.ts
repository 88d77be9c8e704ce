import type { AddressInfo } from 'node:net';
import { logEntry } from '../../model/owner-log.ts';
import type { Reading } from '../../model/readings.ts';
import { pointsOf } from '../../model/rules/points-of.ts';
import { type House, openHouse } from '../service/serve/house.ts';
import { kowhai, now } from '../service/serve/samples.ts';

/** A tub with a year behind it, served over HTTP from a real store; what it tells is ours. */

export const MINUTE = 60_000;
export const HOUR = 60 * MINUTE;
export const DAY = 24 * HOUR;
/** 15:00 in Nelson (UTC+13) on 1 March 2026. */
export const present = Date.parse(now.at);
/** Its midnight. */
export const today = Date.parse('2026-02-28T11:00:00Z');
/** Nothing is heard between 10:00 and 10:50. */
export const silence = { from: today + 10 * HOUR, to: today + 10 * HOUR + 50 * MINUTE };

const longGap: Record<string, number> = { 'pump/running': 1440 };

const points: Record<string, (t: number) => number> = {
  'tub/temperature': (t) => 36 + 1.5 * Math.sin((2 * Math.PI * (t - today)) / DAY - 2.4),
  'collector/temperature': (t) => 12 + Math.max(0, 60 * sun(t)) + 4 * season(t),
  'collector/outlet': (t) => (runs(t) ? 40 : 20) + season(t),
  'pump/running': (t) => Number(runs(t)),
  'pump/power': (t) => (runs(t) ? 13 : 0),
  'pump/flow': (t) => (runs(t) ? 4.1 : 0),
  'collector/2/temperature': (t) => 14 + Math.max(0, 50 * sun(t)),
  'outdoor/temperature': (t) => 15 + 6 * sun(t),
};

const sun = (t: number) => -Math.cos((2 * Math.PI * (t - today)) / DAY);
const season = (t: number) => Math.cos((2 * Math.PI * (t - today)) / (365 * DAY));
const runs = (t: number) => sun(t) > 0.5;

export async function tracesHouse(webFolder: string): Promise<House & { url: string }> {
  const house = await openHouse({ webFolder });
  house.watching.versions = [{ setup: { tubs: [kowhai] }, from: Number.NEGATIVE_INFINITY }];
  const readings: Reading[] = [];
  const add = (t: number) => {
    for (const [point, read] of Object.entries(points)) {
      readings.push({ tub: 'kowhai', point, t, value: read(t) });
    }
  };
  for (let t = present - 365 * DAY; t < today - 2 * DAY; t += HOUR) add(t);
  for (let t = today - 2 * DAY; t < present; t += MINUTE) {
    if (t < silence.from || t >= silence.to) add(t);
  }
  await house.store.keep({ readings, unreadable: [], at: present });
  const values = Object.entries(points).map(([point, read]) => [
    point,
    {
      ...now.values['tub/temperature']!,
      value: read(present),
      longestGapMin: longGap[point] ?? 10,
    },
  ]);
  house.watching.now = async () => ({ ...now, values: Object.fromEntries(values) });
  const { alerts } = house.watching;
  house.watching.alerts = async (tub, open) =>
    (await alerts.call(house.watching, tub, open))?.map((alert) => ({
      ...alert,
      points: pointsOf('pump-not-running'),
    })) ?? null;
  const filter = { kind: 'filter-cleaned' as const, from: '2026-02-28T20:30:00Z' };
  house.watching.logs.kowhai = [logEntry('l1', filter)];
  await house.app.listen({ host: '127.0.0.1', port: 0 });
  const { port } = house.app.server.address() as AddressInfo;
  return { ...house, url: `http://127.0.0.1:${port}` };
}

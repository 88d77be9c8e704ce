import { expect, test, vi } from 'vitest';
import {
  catchUp,
  historyStart,
  newestFirst,
  recordHistory,
} from '../../../collector-service/demo/history.ts';
import { localTime } from '../../../collector-service/demo/household.ts';
import { Loop } from '../../../collector-service/demo/loop.ts';
import { demoPoints } from '../../../collector-service/demo/sensors.ts';
import type { Reading } from '../../../model/readings.ts';
import { DAY, HOUR, MINUTE, valuesOf } from './course.ts';

vi.setConfig({ testTimeout: 60_000 });

const now = Date.UTC(2026, 10, 20, 3, 17, 42, 123);
const clock = { now: () => now };
const lastRow = Date.UTC(2026, 10, 20, 3, 17);

test('a first start has 60 days of rows a minute apart, the newest day first', async () => {
  const loop = new Loop({ from: historyStart(clock) });
  const cpu = process.cpuUsage();
  const hours = await recordHistory(loop, clock);
  const { user } = process.cpuUsage(cpu);
  console.info(`60 days in ${(user / 1e6).toFixed(2)} s of CPU`);
  expect(loop.at).toBe(lastRow);

  const minutes = 60 * 1440;
  const first = lastRow - (minutes - 1) * MINUTE;
  const heard = new Uint8Array(minutes * demoPoints.length);
  const days: number[] = [];
  let last: Reading[] = [];
  for await (const slice of newestFirst(hours)) {
    expect(slice.length).toBeLessThanOrEqual(60 * demoPoints.length);
    for (const { tub, point, t, value } of slice) {
      const minute = (t - first) / MINUTE;
      const place = minute * demoPoints.length + demoPoints.indexOf(point);
      if (tub !== 'kowhai' || !(place in heard) || !Number.isFinite(value)) {
        throw new Error(`${tub} ${point} ${new Date(t).toISOString()} ${value}`);
      }
      heard[place]!++;
      if (t === lastRow) last = slice;
    }
    const { day } = localTime(slice[0]!.t);
    expect(localTime(slice.at(-1)!.t).day).toBe(day);
    if (days.at(-1) !== day) days.push(day);
  }
  expect(heard.every((times) => times === 1)).toBe(true);
  expect(days).toEqual([...new Set(days)].sort((a, b) => b - a));
  expect(days[0]).toBe(localTime(now).day);
  expect(days).toHaveLength(61);
  expect(
    Object.fromEntries(last.filter(({ t }) => t === lastRow).map((r) => [r.point, r.value])),
  ).toEqual(valuesOf(loop));
});

test('the history joins the live run without a step', async () => {
  const from = now - 3 * DAY;
  const recorded = new Loop({ from });
  await recordHistory(recorded, clock);
  const through = new Loop({ from });
  while (through.at < lastRow) through.step();
  for (let step = 0; step < 360; step++) {
    recorded.step();
    through.step();
    expect(recorded.read()).toEqual(through.read());
  }
  expect(recorded.truth).toEqual(through.truth);
});

test('a later start goes on from what is stored, with the rows between', async () => {
  const from = now - 3 * DAY;
  const stored = lastRow - 5 * HOUR;
  const loop = new Loop({ from });
  await catchUp(loop, stored);
  expect(loop.at).toBe(stored);
  const hours = await recordHistory(loop, clock);
  const times = new Set<number>();
  for await (const slice of newestFirst(hours)) for (const { t } of slice) times.add(t);
  expect(times.size).toBe(300);
  expect(Math.min(...times)).toBe(stored + MINUTE);
  expect(Math.max(...times)).toBe(lastRow);

  const through = new Loop({ from });
  through.advanceTo(lastRow);
  expect(loop.read()).toEqual(through.read());
  expect(loop.truth).toEqual(through.truth);
});

test('catching up to an instant between two steps ends at the step before it', async () => {
  const loop = new Loop({ from: now - DAY });
  await catchUp(loop, now - DAY + HOUR + 12_345);
  expect(loop.at).toBe(Math.floor((now - DAY + HOUR + 12_345) / 10_000) * 10_000);
  expect(await recordHistory(loop, { now: () => loop.at })).toEqual([]);
});

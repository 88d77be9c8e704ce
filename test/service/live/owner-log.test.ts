import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { MqttClient } from 'mqtt';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import { type LogEntryShape, logEntry } from '../../../model/owner-log.ts';
import type { Day } from '../../../model/shapes.ts';
import { type House, openBoard, openHouse, settled, setUp } from './house.ts';
import { endAll, newFolder, run, until } from './program.ts';
import { csvOf, metered, publishPacks, type Sent, START, sunnyHours } from './sunny-hours.ts';

let house: House;
let board: MqttClient;
const DAY = 24 * 3_600_000;
const dates = ['2024-03-02', '2024-03-03', '2024-03-04'];

/** What a tub without a flow sensor hears on three days. */
const heard: Sent[] = sunnyHours()
  .filter(({ point }) => ['tub/temperature', 'collector/outlet', 'pump/running'].includes(point))
  .map((one) =>
    one.point === 'collector/outlet' ? { ...one, point: 'collector/temperature' } : one,
  );
const threeDays = [0, 1, 2].flatMap((day) =>
  heard.map((one) => ({ ...one, t: one.t + day * DAY })),
);

beforeAll(async () => {
  house = await openHouse();
  board = await openBoard(house);
});
afterAll(async () => {
  await board.endAsync();
  await endAll();
});

async function openTub(tub: string): Promise<Day[]> {
  await setUp(house, metered(tub));
  await publishPacks(board, tub, threeDays);
  await settled(house);
  const days = await house.days(tub);
  expect(days.map(({ date, basis }) => [date, basis])).toEqual(
    dates.map((date) => [date, 'estimated']),
  );
  return days;
}

async function tell(tub: string, entry: object): Promise<LogEntryShape> {
  const { status, body, text } = await house.call('POST', `/api/tubs/${tub}/log`, entry);
  expect(status, text).toBe(201);
  await settled(house);
  return body;
}

async function takeBack(tub: string, { id }: LogEntryShape): Promise<void> {
  const { status } = await house.call('DELETE', `/api/tubs/${tub}/log/${id}`);
  expect(status).toBe(204);
  await settled(house);
}

/** The dates whose days differ. */
const changed = (before: readonly Day[], after: readonly Day[]): string[] =>
  dates.filter((_, i) => JSON.stringify(before[i]) !== JSON.stringify(after[i]));

const at = (day: number, hours = 0) =>
  new Date(START + day * DAY + hours * 3_600_000).toISOString();

test('a bucket test changes the estimated days; taking it back brings the old ones back', async () => {
  const before = await openTub('bucket');
  const bucket = { kind: 'bucket-test', from: at(1), data: { lPerMin: 7 } };
  const entry = await tell('bucket', bucket);
  const after = await house.days('bucket');
  expect(changed(before, after)).toEqual(dates);
  for (const [i, day] of after.entries()) {
    // twice the flow that was assumed: twice the heat on its way, less the same standing water
    const ratio = day.gainKwh! / before[i]!.gainKwh!;
    expect(ratio).toBeGreaterThan(1.9);
    expect(ratio).toBeLessThan(2.3);
    expect(day.uncertaintyKwh! / day.gainKwh!).toBeLessThan(
      0.5 * (before[i]!.uncertaintyKwh! / before[i]!.gainKwh!),
    );
  }
  const learned = await house.get<{ flowLPerMin: object }>('/api/tubs/bucket/learned');
  expect(learned.flowLPerMin).toMatchObject({ value: 0.93 * 7, basis: 'set-up' });
  await takeBack('bucket', entry);
  expect(await house.days('bucket')).toEqual(before);
});

test('a second bucket test changes what came after it alone, and a remark nothing', async () => {
  await openTub('later');
  await tell('later', { kind: 'bucket-test', from: at(0), data: { lPerMin: 4 } });
  const before = await house.days('later');
  await tell('later', { kind: 'remark', from: at(0), note: 'Nothing to see.' });
  await tell('later', { kind: 'filter-cleaned', from: at(0, 1) });
  expect(await house.days('later')).toEqual(before);
  await tell('later', { kind: 'bucket-test', from: at(1, -6), data: { lPerMin: 5 } });
  expect(changed(before, await house.days('later'))).toEqual(dates.slice(1));
});

test('of a drained tub nothing is estimated, and what is so now says that it is drained', async () => {
  const before = await openTub('drained');
  const entry = await tell('drained', { kind: 'drained', from: at(1, -2), until: at(1, 4) });
  const after = await house.days('drained');
  expect(changed(before, after)).toContain(dates[1]);
  expect(after[1]).toMatchObject({ gainKwh: null, coverage: 0, tubLowC: null });
  expect(after[0]!.gainKwh).toBe(before[0]!.gainKwh);
  await takeBack('drained', entry);
  expect(await house.days('drained')).toEqual(before);

  await publishPacks(board, 'drained', [{ t: Date.now(), point: 'tub/temperature', value: 12 }]);
  await settled(house);
  expect((await house.now('drained')).state).not.toBe('drained');
  const since = new Date(Date.now() - DAY).toISOString();
  await tell('drained', { kind: 'drained', from: since });
  const now = await house.now('drained');
  expect(now).toMatchObject({ state: 'drained', figures: { drainedSince: since } });
});

test('the log comes newest first, outlives a restart, and replay makes the same days of it', async () => {
  await openTub('replayed');
  await tell('replayed', { kind: 'bucket-test', from: at(0), data: { lPerMin: 5 } });
  await tell('replayed', { kind: 'bathing', from: at(1, 1), until: at(1, 2) });
  await tell('replayed', { kind: 'cover-changed', from: at(2) });
  const log = await house.get<{ items: LogEntryShape[] }>('/api/tubs/replayed/log');
  expect(log.items.map(({ kind }) => kind)).toEqual(['cover-changed', 'bathing', 'bucket-test']);

  const folder = newFolder();
  const [csv, setup, file] = ['r.csv', 's.json', 'l.json'].map((name) => join(folder, name));
  writeFileSync(csv!, csvOf('replayed', threeDays));
  writeFileSync(setup!, JSON.stringify({ tubs: [metered('replayed')] }));
  writeFileSync(file!, JSON.stringify(log));
  const { code, out, err } = await run([
    'replay',
    '--setup',
    setup!,
    '--log',
    file!,
    csv!,
    '--json',
  ]);
  expect({ code, err }).toEqual({ code: 0, err: '' });
  const days = await house.days('replayed');
  expect(JSON.parse(out).tubs.replayed.days).toEqual(days);

  await board.endAsync();
  await house.stop();
  house = await openHouse({ folder: house.folder });
  board = await openBoard(house);
  expect(await house.get('/api/tubs/replayed/log')).toEqual(log);
  expect(await house.days('replayed')).toEqual(days);
});

test('an entry that another process wrote is seen, and worked out', async () => {
  const before = await openTub('elsewhere');
  const from = new Date(START).toISOString();
  const entry = logEntry('elsewhere', { kind: 'bucket-test', from, data: { lPerMin: 7 } });
  const store = openStore(house.folder);
  await store.addLogEntry('elsewhere', entry, START);
  await store.close();
  const after = await until('the days by the other flow', async () => {
    const days = await house.days('elsewhere');
    return changed(before, days).length === 3 && days;
  });
  expect(after[0]!.gainKwh! / before[0]!.gainKwh!).toBeGreaterThan(1.9);
});

test('an entry that is sent again, since its answer was lost, stands there once', async () => {
  await setUp(house, metered('again'));
  const bath = { kind: 'bathing', from: at(0, 5), until: at(0, 6), data: { people: 3 } };
  const once = await tell('again', bath);
  expect(await tell('again', { ...bath, note: null })).toEqual(once);
  const remark = { kind: 'remark', from: at(1), note: 'New lid.' };
  const together = await Promise.all([1, 2, 3].map(() => tell('again', remark)));
  expect(new Set(together.map(({ id }) => id)).size).toBe(1);
  for (const other of [{ until: at(0, 7) }, { data: { people: 2 } }, { note: 'x' }])
    expect((await tell('again', { ...bath, ...other })).id).not.toBe(once.id);
  const { items } = await house.get<{ items: unknown[] }>('/api/tubs/again/log');
  expect(items).toHaveLength(5);
});

import { existsSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { openBoard, openHouse, settled, setUp } from '../live/house.ts';
import { endAll, newFolder, run } from '../live/program.ts';
import { DATE, metered, publishPacks, sunnyHours } from '../live/sunny-hours.ts';

afterAll(endAll);

const oneLine = /^sunsteep: [^\n]+\n$/;

test('a backup of a running service is what a restore brings back', async () => {
  let house = await openHouse();
  const env = { SUNSTEEP_DATA: house.folder };
  const file = join(newFolder(), 'b.db');
  await setUp(house, metered('kowhai'));
  const readings = sunnyHours();
  const board = await openBoard(house);
  await publishPacks(board, 'kowhai', readings.slice(0, 600));
  const made = await run(['backup', file], env);
  expect([made.code, made.out]).toEqual([0, '']);
  expect(made.err).toMatch(/holds the whole store, secrets too/);
  expect(statSync(file).mode & 0o777).toBe(0o600);
  await publishPacks(board, 'kowhai', readings.slice(600));
  await board.endAsync();
  const gain = async () => {
    await settled(house);
    return (await house.days('kowhai')).find(({ date }) => date === DATE)!.gainKwh!;
  };

  const refused = await run(['restore', file], env);
  expect([refused.code, refused.out]).toEqual([1, '']);
  expect(refused.err).toMatch(/^sunsteep: a service runs on .*: stop it, then restore\n$/);

  await house.stop();
  const restored = await run(['restore', file], env);
  expect([restored.code, restored.out]).toEqual([0, '']);
  expect(restored.err).toMatch(/replaced is .*sunsteep\.db\.replaced-\d{4}-\d\d-\d\dT/);
  const rows = async () =>
    (await run(['export', '--tub', 'kowhai'], env)).out.trim().split('\n').length - 1;
  expect(await rows()).toBe(600);

  house = await openHouse({ folder: house.folder });
  expect(await gain()).toBeGreaterThan(0);
  await house.stop();
});

test('what cannot be written leaves nothing behind, and what was there as it was', async () => {
  const house = await openHouse();
  await house.stop();
  const env = { SUNSTEEP_DATA: house.folder };
  const there = newFolder();
  const file = join(there, 'b.db');
  writeFileSync(file, 'from before');
  const folder = newFolder();
  for (const [args, code] of [
    [['backup', there], 2],
    [['backup', file], 2],
    [['restore', file], 1],
  ] as const) {
    const data = args[1] === file && args[0] === 'backup' ? folder : house.folder;
    const told = await run([...args], { SUNSTEEP_DATA: data });
    expect({ args, code: told.code }).toEqual({ args, code });
    expect(told.err).toMatch(oneLine);
  }
  expect(readdirSync(there)).toEqual(['b.db']);
  expect(statSync(file).size).toBe('from before'.length);
  expect(existsSync(join(house.folder, 'sunsteep.db'))).toBe(true);
  expect((await run(['export', '--tub', 'none'], env)).code).toBe(2);
});

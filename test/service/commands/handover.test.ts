import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { writePieces, writeWhole } from '../../../collector-service/whole-file.ts';
import { openHouse, settled, setUp } from '../live/house.ts';
import { endAll, newFolder, run } from '../live/program.ts';
import { csvOf, DATE, metered, sunnyHours } from '../live/sunny-hours.ts';

afterAll(endAll);

test('a hand-over is the same with a service running and without, and replays to its days', async () => {
  const house = await openHouse();
  const env = { SUNSTEEP_DATA: house.folder };
  const place = newFolder();
  const csv = join(place, 'readings.csv');
  await setUp(house, metered('kowhai'));
  writeFileSync(csv, csvOf('kowhai', sunnyHours()));
  expect((await run(['import', csv], env)).code).toBe(0);
  await settled(house);
  const [day] = await house.days('kowhai');
  const call = ['handover', '--tub', 'kowhai', '--from', DATE, '--to', DATE];
  const replay = async (name: string) => {
    const made = await run([...call, join(place, name)], env);
    expect([made.code, made.out]).toEqual([0, '']);
    expect(made.err).toMatch(/holds readings of 1 days/);
    const { code, out } = await run(['replay', '--json', join(place, name)], {}, place);
    expect(code).toBe(0);
    const { tubs, rows } = JSON.parse(out);
    expect(rows).toMatchObject({ read: sunnyHours().length, refused: 0 });
    expect(tubs.kowhai.days).toEqual([day]);
  };
  await replay('running.zip');
  await house.stop();
  await replay('stopped.zip');
  await replay('stopped.zip'); // what is there is replaced
  expect(readdirSync(place).sort()).toEqual(['readings.csv', 'running.zip', 'stopped.zip']);
});

test('a file that cannot be finished leaves what was there, and nothing beside it', async () => {
  const place = newFolder();
  const file = join(place, 'x.zip');
  writeFileSync(file, 'from before');
  async function* pieces() {
    yield new Uint8Array(1000);
    throw Object.assign(new Error('no space left on device'), { code: 'ENOSPC' });
  }
  await expect(writeWhole(file, (draft) => writePieces(draft, pieces()))).rejects.toMatchObject({
    code: 'SUNSTEEP_STORE_DISK_FULL',
    message: expect.stringMatching(/x\.zip was not written: there is no room/),
  });
  expect(readdirSync(place)).toEqual(['x.zip']);
  expect(readFileSync(file, 'utf8')).toBe('from before');
});

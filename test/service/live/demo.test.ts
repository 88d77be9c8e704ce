import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import type { Day } from '../../../model/shapes.ts';
import { openBoard, openHouse } from './house.ts';
import { endAll, newFolder, run, startProgram, until } from './program.ts';

afterAll(endAll);

const DAYS = 60;

async function daysOf(house: Awaited<ReturnType<typeof openHouse>>): Promise<Day[]> {
  const { status, body } = await house.call('GET', '/api/tubs/kowhai/days');
  return status === 200 ? body.items : [];
}

test('the demonstration serves at once, lives, and fills 60 days, also after it was killed meanwhile', async () => {
  const first = await openHouse({ demo: true });
  const { folder } = first;
  expect((await first.call('GET', '/health', undefined, {})).status).toBe(200);
  const live = await until('a live value', async () => {
    const { status, body } = await first.call('GET', '/api/tubs/kowhai/now');
    const time = status === 200 && body.values['tub/temperature']?.time;
    return time && Date.now() - Date.parse(time) < 60_000 ? body : null;
  });
  expect(live.figures.tubC).toBeGreaterThan(10);
  expect(await first.get('/api/tubs')).toMatchObject({
    items: [{ id: 'kowhai', name: 'Kōwhai Terrace', setUp: true }],
    demo: true,
  });
  await until('some days of history', async () => (await daysOf(first)).length > 1);
  await first.kill();

  const second = await openHouse({ demo: true, folder });
  const whole = await until(
    'the whole history',
    async () => {
      const days = await daysOf(second);
      const worked = days
        .slice(1)
        .every(({ coverage, gainKwh }) => coverage > 0 && gainKwh !== null);
      return days.length >= DAYS && worked && days;
    },
    150_000,
  );
  const complete = whole.slice(1, -1);
  const least = Math.min(...complete.map(({ coverage }) => coverage));
  console.log(`${whole.length} days, least coverage of a whole one ${least}`);
  expect(complete.filter(({ coverage }) => coverage < 0.95)).toEqual([]);
  expect(complete.every(({ basis }) => basis === 'measured')).toBe(true);
  const gains = complete.map(({ gainKwh }) => gainKwh!);
  expect(Math.max(...gains)).toBeGreaterThan(2);
  expect(Math.max(...gains)).toBeLessThan(25);
  expect(second.started.err()).not.toMatch(/"level":[56]0/);

  const heard = Date.parse((await second.now('kowhai')).figures.heardAt!);
  await until('the next live reading', async () => {
    const { figures } = await second.now('kowhai');
    return Date.parse(figures.heardAt!) > heard;
  });
  expect(await second.unreadable()).toEqual([]);
  expect(await second.stop()).toBe(0);

  const real = await run(['serve'], {
    SUNSTEEP_DATA: folder,
    SUNSTEEP_PORT: '0',
    SUNSTEEP_BROKER_PORT: '0',
  });
  expect(real.code).toBe(2);
  expect(real.err).toMatch(/^sunsteep: SUNSTEEP_DATA is .+ demonstration.+\n$/);
}, 240_000);

test('a demonstration is refused on a folder with real readings, and beside an outside broker', async () => {
  const house = await openHouse();
  const board = await openBoard(house);
  await board.publishAsync('sunsteep/kowhai/tub/temperature', '37', { qos: 1 });
  await board.endAsync();
  await house.stop();
  const free = { SUNSTEEP_PORT: '0', SUNSTEEP_BROKER_PORT: '0' };
  const mixed = await run(['serve', '--demo'], { SUNSTEEP_DATA: house.folder, ...free });
  expect(mixed.code).toBe(2);
  expect(mixed.err).toMatch(/^sunsteep: SUNSTEEP_DATA is .+real readings.+\n$/);
  const outside = await run(['serve', '--demo'], {
    ...{ SUNSTEEP_DATA: newFolder(), SUNSTEEP_MQTT_URL: 'mqtt://127.0.0.1:1' },
  });
  expect(outside).toMatchObject({ code: 2, out: '' });
  expect(outside.err).toMatch(/^sunsteep: .*SUNSTEEP_MQTT_URL.*\n$/);
  const again = await openHouse({ folder: house.folder });
  expect((await again.now('kowhai')).values['tub/temperature']?.value).toBe(37);
  await again.stop();
});

test('a demonstration without a folder of its own keeps its data apart', async () => {
  const cwd = newFolder();
  const env = { SUNSTEEP_HOST: '127.0.0.1', SUNSTEEP_PORT: '0', SUNSTEEP_BROKER_PORT: '0' };
  const demo = startProgram(['serve', '--demo'], env, cwd);
  await demo.says(/listens on/);
  expect(existsSync(join(cwd, 'demo-data', 'sunsteep.db'))).toBe(true);
  expect(existsSync(join(cwd, 'data'))).toBe(false);
  demo.process.kill('SIGTERM');
  expect(await demo.ended).toBe(0);
});

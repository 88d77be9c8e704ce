import { mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openHouse, setUp } from '../live/house.ts';
import { endAll, newFolder, run, start, startProgram } from '../live/program.ts';
import { csvOf, metered, sunnyHours } from '../live/sunny-hours.ts';

/** A folder with an hour of readings of a tub that is set up, and files beside it. */
let folder: string;
let csv: string;
let setup: string;

beforeAll(async () => {
  const house = await openHouse();
  await setUp(house, metered('kowhai'));
  await house.stop();
  folder = house.folder;
  csv = join(folder, 'readings.csv');
  setup = join(folder, 'setup.json');
  writeFileSync(csv, csvOf('kowhai', sunnyHours().slice(0, 300)));
  writeFileSync(setup, JSON.stringify({ tubs: [metered('kowhai')] }));
  expect((await run(['import', csv], { SUNSTEEP_DATA: folder })).code).toBe(0);
});
afterAll(endAll);

const oneLine = /^sunsteep: [^\n]+\n$/;

const wrongCalls: [what: string, args: () => string[], says: RegExp][] = [
  ['no such command', () => ['boil'], /boil.*serve/],
  ['an option that does not exist', () => ['serve', '--port', '1'], /usage: sunsteep serve/],
  ['something too many', () => ['recompute', 'kowhai'], /usage: sunsteep recompute/],
  ['no file to import', () => ['import'], /no file is named/],
  ['an export of no tub', () => ['export'], /--tub is missing/],
  ['an export of an unknown tub', () => ['export', '--tub', 'no-such'], /no-such/],
  [
    'a date that is none',
    () => ['export', '--tub', 'kowhai', '--from', '2024-02-30'],
    /2024-02-30/,
  ],
  ['a tub that was never heard', () => ['recompute', '--tub', 'no-such'], /no-such/],
  ['a hand-over of no tub', () => ['handover', 'x.zip'], /--tub is missing/],
  [
    'a hand-over of more days than one may have',
    () => ['handover', '--tub', 'kowhai', '--from', '2024-01-01', '--to', '2024-06-01', 'x.zip'],
    /153 days are more than 92/,
  ],
  [
    'a hand-over of an unknown tub',
    () => ['handover', '--tub', 'no-such', '--from', '2024-03-02', '--to', '2024-03-02', 'x.zip'],
    /no-such/,
  ],
  ['a backup to nowhere', () => ['backup'], /name one file/],
  ['a backup into no folder', () => ['backup', '/no/such/folder/b.db'], /cannot be written/],
  ['a restore of nothing', () => ['restore', 'no-such.db'], /no-such\.db is not there/],
  ['a replay of a hand-over with a set-up', () => ['replay', '--setup', setup, 'x.zip'], /alone/],
  ['a recompute from no date', () => ['recompute', '--from', 'yesterday'], /yesterday/],
  ['a right that is over', () => ['pair', '--until', '2020-01-01'], /2020-01-01 is over/],
  ['a replay without a set-up', () => ['replay', csv], /--setup is missing/],
  ['a replay without readings', () => ['replay', '--setup', setup], /no file/],
  ['a set-up that is not there', () => ['replay', '--setup', 'no-such.json', csv], /no-such\.json/],
  ['a set-up that is no JSON', () => ['replay', '--setup', csv, csv], /no JSON/],
  [
    'a log that is not there',
    () => ['replay', '--setup', setup, '--log', 'no-such.json', csv],
    /no-such\.json cannot be read/,
  ],
  [
    'a log that is none',
    () => ['replay', '--setup', setup, '--log', setup, csv],
    /setup\.json is refused\. \/: expected a list of entries/,
  ],
];

test.each(wrongCalls)('a wrong call ends with 2 and one line: %s', async (_what, args, says) => {
  const { code, out, err } = await run(args(), { SUNSTEEP_DATA: folder });
  expect({ code, out }).toEqual({ code: 2, out: '' });
  expect(err).toMatch(oneLine);
  expect(err).toMatch(says);
});

const wrongSettings: [name: string, value: string][] = [
  ['SUNSTEEP_PORT', '80800'],
  ['SUNSTEEP_TOKEN', 'short'],
  ['SUNSTEEP_MQTT_URL', 'http://broker'],
  ['SUNSTEEP_TLS_CERT', '/no/such/file.pem'],
  ['SUNSTEEP_DATA', ''],
  ['SUNSTEEP_DTAA', '/tmp'],
];

test.each(wrongSettings)('a wrong setting ends with 2 and one line: %s=%s', async (name, value) => {
  const env = { SUNSTEEP_DATA: newFolder(), SUNSTEEP_PORT: '0', SUNSTEEP_BROKER_PORT: '0' };
  const { code, out, err } = await run(['serve'], { ...env, [name]: value });
  expect({ code, out }).toEqual({ code: 2, out: '' });
  expect(err).toMatch(oneLine);
  expect(err).toContain(name);
  if (name === 'SUNSTEEP_TOKEN') expect(err).not.toContain(value);
});

test('a set-up file with faults is refused with the path of each', async () => {
  const bad = join(newFolder(), 'bad.json');
  writeFileSync(
    bad,
    JSON.stringify({ tubs: [{ id: 'kowhai', place: {}, color: 'red' }], more: 1 }),
  );
  const { code, out, err } = await run(['replay', '--setup', bad, csv]);
  expect({ code, out }).toEqual({ code: 2, out: '' });
  expect(err).toMatch(oneLine);
  for (const path of [
    '/tubs/0/place/latitude',
    '/tubs/0/place/timeZone',
    '/tubs/0/color',
    '/more',
  ]) {
    expect(err).toContain(path);
  }
});

test('a folder that cannot be written, or a file of somebody else, ends with 1 and one line', async () => {
  const taken = join(newFolder(), 'taken');
  writeFileSync(taken, 'a file, not a folder');
  const blocked = newFolder();
  mkdirSync(join(blocked, 'sunsteep.db'));
  for (const data of [taken, blocked]) {
    for (const args of [
      ['import', csv],
      ['recompute'],
      ['pair'],
      ['export', '--tub', 'kowhai'],
      ['serve'],
    ]) {
      const { code, err } = await run(args, {
        SUNSTEEP_DATA: data,
        SUNSTEEP_PORT: '0',
        SUNSTEEP_BROKER_PORT: '0',
      });
      expect({ args, code }).toEqual({ args, code: 1 });
      expect(err).toMatch(oneLine);
    }
  }
});

test('help goes to standard output; without a command it is a wrong call', async () => {
  const asked = await run(['--help']);
  expect(asked).toMatchObject({ code: 0, err: '' });
  for (const name of [
    'serve',
    'replay',
    'import',
    'export',
    'handover',
    'backup',
    'restore',
    'recompute',
    'pair',
  ]) {
    expect(asked.out).toMatch(new RegExp(`^ {2}${name} `, 'm'));
  }
  expect((await run([])).code).toBe(2);
});

test.each([[['run', '-s', 'sunsteep']], [['run', 'sunsteep']]])(
  'npm %j -- replay --json prints one JSON document and nothing else',
  async (args) => {
    const call = ['--', 'replay', '--setup', setup, csv, '--json'];
    const npm = start('npm', [...args, ...call]);
    expect(await npm.ended, npm.err()).toBe(0);
    expect(JSON.parse(npm.out())).toMatchObject({
      tubs: { kowhai: { days: [{ date: '2024-03-02' }], months: [{ month: '2024-03' }] } },
      rows: { read: 300, refused: 0 },
    });
  },
);

test('npm passes the exit code on', async () => {
  const npm = start('npm', ['run', '-s', 'sunsteep', '--', 'replay', csv]);
  expect(await npm.ended).toBe(2);
  expect(npm.out()).toBe('');
});

test('a replay keeps nothing and needs no folder, no port and no clock', async () => {
  const cwd = newFolder();
  const ahead = sunnyHours().map((reading) => ({
    ...reading,
    t: reading.t + 40 * 365.25 * 86_400_000,
  }));
  const future = join(cwd, 'future.csv');
  writeFileSync(future, csvOf('kowhai', ahead));
  const { code, out } = await run(['replay', '--setup', setup, future], {}, cwd);
  expect(code).toBe(0);
  expect(out).toMatch(/^kowhai\n {2}2064-03-\d\d {2}gain \d\.\d\d kWh/);
  expect(readdirSync(cwd)).toEqual(['future.csv']);
});

test.each([true, false])(
  'pair prints a link that pairs once, service running: %s',
  async (running) => {
    let house = await openHouse();
    const env = { SUNSTEEP_DATA: house.folder, SUNSTEEP_URL: house.url };
    if (!running) await house.stop();
    const full = await run(['pair'], env);
    const viewer = await run(['pair', '--viewer', '--until', '2099-12-31'], env);
    expect([full.code, viewer.code, full.err, viewer.err]).toEqual([0, 0, '', '']);
    if (!running) house = await openHouse({ folder: house.folder });
    for (const [made, right] of [
      [full, 'full'],
      [viewer, 'viewer'],
    ] as const) {
      const links = [...made.out.matchAll(/http\S+\/pair#(\S+)/g)];
      expect(links).toHaveLength(1);
      expect(made.out).toMatch(/█/); // the QR code
      const paired = await house.call('POST', '/api/pair', { code: links[0]![1] }, {});
      expect(paired.body, paired.text).toMatchObject({ right });
      expect((await house.call('POST', '/api/pair', { code: links[0]![1] }, {})).status).toBe(403);
      if (right === 'viewer') expect(paired.body.until).toMatch(/^2100-01-01T|^2099-12-31T/);
    }
    await house.stop();
  },
);

test('a replay of readings that make no day prints none', async () => {
  const file = join(newFolder(), 'voltage.csv');
  const rows = [0, 60].map((s) => ({ t: 1.7e12 + 1000 * s, point: 'pump/voltage', value: 12 }));
  const air = rows.map((row) => ({ ...row, point: 'outdoor/temperature' }));
  for (const heard of [rows, air, [...rows, ...air]]) {
    writeFileSync(file, csvOf('kowhai', heard));
    const { code, out } = await run(['replay', '--setup', setup, file, '--json']);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({ tubs: { kowhai: { days: [], months: [] } } });
  }
});

test('a service that is asked to stop ends with 0, at any moment', async () => {
  const env = {
    SUNSTEEP_DATA: newFolder(),
    SUNSTEEP_HOST: '127.0.0.1',
    SUNSTEEP_PORT: '0',
    SUNSTEEP_BROKER_PORT: '0',
  };
  const service = startProgram(['serve'], env);
  await service.says(/listens on/);
  service.process.kill('SIGINT');
  expect(await service.ended).toBe(0);
});

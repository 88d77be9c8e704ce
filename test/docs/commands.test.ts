import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { request } from 'node:https';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type House, openHouse, TOKEN } from '../service/live/house.ts';
import { type Env, endAll, root } from '../service/live/program.ts';
import { startMosquitto } from '../service/mosquitto.ts';
import { compose } from './compose.ts';
import { done, endTyped, typed } from './shell.ts';
import { blocks, commandsIn, documentOf, documents, isThere } from './texts.ts';

/**
 * Every line that the documents give to type is tried here, in their order. One that no way below fits
 * is a failure: then somebody decides how it is tried.
 */

const folder = mkdtempSync(join(tmpdir(), 'sunsteep-docs-'));
const at = (name: string): string => join(folder, name);
let house: House;

beforeAll(async () => {
  const [readings] = blocks(documentOf('docs/payloads.md').text, 'csv');
  writeFileSync(at('readings.csv'), readings!);
  house = await openHouse();
  const place = { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' };
  const tubs = [{ id: 'my-tub', place }];
  const put = await house.call('PUT', '/api/setup?from=always', { tubs });
  expect(put.status, put.text).toBe(200);
});
afterAll(async () => {
  await endTyped();
  await endAll();
  rmSync(folder, { recursive: true, force: true });
});

/** The service on free ports of this machine, in a folder of its own: its first start. */
const elsewhere = (name: string): Env => ({
  SUNSTEEP_DATA: at(name),
  SUNSTEEP_HOST: '127.0.0.1',
  SUNSTEEP_PORT: '0',
  SUNSTEEP_BROKER_HOST: '127.0.0.1',
  SUNSTEEP_BROKER_PORT: '0',
});

/** The environment of somebody at the house's own machine. */
const atHouse = (): Env => ({ ...elsewhere(''), SUNSTEEP_DATA: house.folder });

/** Starts the service, asks how it does, and stops it as Ctrl+C does. */
async function startsAndStops(line: string, env: Env): Promise<void> {
  const service = typed(line, env);
  const [, url] = await service.says(/Server listening at (https?:\/\/[\d.:]+)/);
  expect(await statusOf(`${url}/health`)).toBe('ok');
  await service.says(/\/pair#[\w-]{22}\n/);
  service.interrupt();
  await service.ended;
}

/** As told by /health, whoever signed the certificate. */
async function statusOf(url: string): Promise<string> {
  if (url.startsWith('http:')) {
    return ((await (await fetch(url)).json()) as { status: string }).status;
  }
  return new Promise((resolve, reject) => {
    request(url, { rejectUnauthorized: false }, (answer) => {
      let text = '';
      answer.on('data', (part) => {
        text += part;
      });
      answer.on('end', () => resolve(JSON.parse(text).status));
    })
      .on('error', reject)
      .end();
  });
}

/** Files are named in full, since npm runs the program in the folder of the checkout. */
const withFiles = (line: string): string =>
  line.replaceAll(
    /(?<= )(setup\.json|readings\.csv|march\.csv|handover\.zip|sunsteep-backup\.db)\b/g,
    (name) => at(name),
  );

const scripts = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')).scripts;

/** How a line is tried: the first that fits. */
const ways: { fits: RegExp; try(line: string): Promise<unknown> }[] = [
  {
    fits: /^npm start$/,
    try: (line) => startsAndStops(line, elsewhere('plain')),
  },
  {
    fits: /^npm start -- --demo$/,
    try: (line) => startsAndStops(line, elsewhere('demo')),
  },
  {
    fits: /^SUNSTEEP_DATA=\S+ SUNSTEEP_PORT=\d+ npm start$/,
    async try(line) {
      const here = line.replace(/(?<=DATA=)\S+/, at('lib')).replace(/(?<=PORT=)\d+/, '0');
      await startsAndStops(here, elsewhere('unused'));
      expect(statSync(at('lib')).isDirectory()).toBe(true);
    },
  },
  {
    fits: /^SUNSTEEP_TLS_CERT=\S+ SUNSTEEP_TLS_KEY=\S+ SUNSTEEP_URL=https:\S+ npm start$/,
    async try(line) {
      const tls = join(root, 'test/service/serve/tls');
      const here = line.replace(/\S+\.crt/, `SUNSTEEP_TLS_CERT=${tls}/cert.pem`);
      await startsAndStops(
        here.replace(/\S+\.key/, `SUNSTEEP_TLS_KEY=${tls}/key.pem`),
        elsewhere('tls'),
      );
    },
  },
  {
    fits: /^SUNSTEEP_MQTT_URL=\S+ SUNSTEEP_MQTT_USERNAME=\S+ SUNSTEEP_MQTT_PASSWORD=\S+ npm start$/,
    async try(line) {
      const broker = await startMosquitto({ passwords: { sunsteep: 'PASSWORD' } });
      try {
        await startsAndStops(line.replace(/(?<=URL=)\S+/, broker.url), elsewhere('outside'));
      } finally {
        await broker.remove();
      }
    },
  },
  {
    fits: /^mosquitto_pub -h localhost -u sensor -P PASSWORD -q 1 -t sunsteep\/my-tub/,
    async try(line) {
      const { port, password } = house.broker;
      await done(
        line
          .replace('-h localhost', `-h 127.0.0.1 -p ${port}`)
          .replace('PASSWORD', `'${password}'`),
      );
      expect(await house.unreadable(), 'nothing of it was unreadable').toEqual([]);
      const point = /-t sunsteep\/my-tub\/(\S+)/.exec(line)?.[1] ?? 'collector/inlet';
      const { points } = await house.get<{ points: Record<string, { count: number }> }>(
        `/api/tubs/my-tub/readings?points=${point}&from=2020-01-01T00:00:00Z`,
      );
      expect(points[point]!.count, line).toBeGreaterThan(0);
    },
  },
  {
    fits: /^curl /,
    try: (line) =>
      done(line.replace('http://localhost:8080', house.url), { SUNSTEEP_TOKEN: TOKEN }, folder),
  },
  {
    fits: /^npm run sunsteep -- help$/,
    async try(line) {
      const told = (await done(line)).out();
      const { text } = documentOf('docs/commands.md');
      const usages = [...told.matchAll(/^ {2}(\S.*)$/gm)].map(([, usage]) => `sunsteep ${usage}`);
      expect(usages.length).toBeGreaterThan(4);
      expect([...text.matchAll(/^`(sunsteep .*)`$/gm)].map(([, usage]) => usage).sort()).toEqual(
        usages.sort(),
      );
      for (const usage of usages) expect(text).toContain(`\n## ${usage.split(' ')[1]}\n`);
    },
  },
  {
    fits: /^npm run sunsteep -- pair/,
    async try(line) {
      const [, code] = /\/pair#(\S+)/.exec((await done(line, atHouse())).out())!;
      const { status, body } = await house.call('POST', '/api/pair', { code }, {});
      expect(status).toBe(200);
      expect(body.right).toBe(line.includes('--viewer') ? 'viewer' : 'full');
      expect(body.until === null).toBe(!line.includes('--until'));
    },
  },
  {
    fits: /^npm run sunsteep -- import /,
    async try(line) {
      const told = (await done(withFiles(line), atHouse())).out();
      expect(told).toMatch(/^7 rows read, 0 refused/);
      const day = (await house.days('my-tub')).find(({ date }) => date === '2026-03-01');
      expect(day?.gainKwh).toBeGreaterThan(0.4);
    },
  },
  {
    fits: /^npm run sunsteep -- export .* > march\.csv$/,
    async try(line) {
      await done(withFiles(line), atHouse());
      const [header, ...rows] = readFileSync(at('march.csv'), 'utf8').trim().split('\n');
      expect(header).toBe('time,tub,point,value');
      expect(rows.length).toBeGreaterThanOrEqual(7);
    },
  },
  {
    fits: /^npm run sunsteep -- handover /,
    async try(line) {
      expect((await done(withFiles(line), atHouse())).err()).toContain('7 days');
      const { mode, size } = statSync(at('handover.zip'));
      expect([mode & 0o777, size > 1000]).toEqual([0o600, true]);
    },
  },
  {
    fits: /^npm run sunsteep -- backup /,
    async try(line) {
      await done(withFiles(line), atHouse());
      expect(statSync(at('sunsteep-backup.db')).mode & 0o777).toBe(0o600);
    },
  },
  {
    fits: /^SUNSTEEP_DATA=\S+ npm run sunsteep -- restore /,
    async try(line) {
      const here = line.replace(/(?<=DATA=)\S+/, at('restored'));
      await done(withFiles(here), elsewhere('unused'));
      const kept = { ...elsewhere('unused'), SUNSTEEP_DATA: at('restored') };
      const rows = (await done('npm run -s sunsteep -- export --tub my-tub', kept)).out();
      expect(rows.trim().split('\n').length).toBeGreaterThanOrEqual(8);
    },
  },
  {
    fits: /^npm run sunsteep -- replay handover\.zip$/,
    async try(line) {
      const told = (await done(withFiles(line))).out();
      const day = (await house.days('my-tub')).find(({ date }) => date === '2026-03-01');
      expect(told).toContain(`2026-03-01  gain ${day!.gainKwh!.toFixed(2)} kWh`);
    },
  },
  {
    fits: /^npm run sunsteep -- replay /,
    async try(line) {
      const [example] = blocks(documentOf('docs/setup.md').text, 'json');
      writeFileSync(at('setup.json'), example!.replaceAll('"kowhai"', '"my-tub"'));
      const told = (await done(withFiles(line))).out();
      if (!line.includes('--json')) {
        expect(told).toMatch(/2026-03-01 {2}gain 0\.\d+ kWh/);
        return;
      }
      const answer = JSON.parse(told);
      const [, shape] = blocks(documentOf('docs/commands.md').text, 'json')[0]!.match(/^(.*)$/m)!;
      const promised = JSON.parse(shape!);
      expect(Object.keys(answer)).toEqual(Object.keys(promised));
      expect(Object.keys(answer.tubs['my-tub'])).toEqual(Object.keys(promised.tubs['my-tub']));
      expect(answer.rows).toEqual(promised.rows);
    },
  },
  {
    fits: /^npm run sunsteep -- recompute/,
    try: (line) => done(line, atHouse()),
  },
  {
    fits: /^docker compose /,
    async try(line) {
      const [, , command, ...rest] = line.split(' ');
      expect(['up', 'logs', 'exec']).toContain(command);
      const service = rest.find((word) => !word.startsWith('-'));
      if (command !== 'up') expect(Object.keys(compose.services)).toContain(service);
      if (command !== 'exec') return;
      const entry = /^ENTRYPOINT \["node", "(.*)"\]$/m.exec(
        readFileSync(join(root, 'Dockerfile'), 'utf8'),
      );
      expect(rest.slice(1, 3)).toEqual(['node', entry![1]]);
      await done(['npm run sunsteep --', ...rest.slice(3)].join(' '), atHouse());
    },
  },
  {
    // docker.test.ts runs it and holds what it makes to what reads it.
    fits: /^\(umask 077; printf .* > \.env\)$/,
    async try() {},
  },
  {
    // What npm test runs is under way.
    fits: /^npm (test|run (format|types))$/,
    try: async (line) => expect(Object.keys(scripts)).toContain(line.split(' ').at(-1)),
  },
  {
    fits: /^npx vitest run test\/\S+( -t '.*')?$/,
    async try(line) {
      const [, file, , name] = /run (\S+)( -t '(.*)')?$/.exec(line)!;
      expect(isThere(file!), file).toBe(true);
      if (name) expect(readFileSync(join(root, file!), 'utf8')).toContain(`test('${name}'`);
    },
  },
  {
    fits: /^npm run bench( -- [\w ]+)?$/,
    async try(line) {
      expect(Object.keys(scripts)).toContain('bench');
      const told = (await done('npm run bench -- no-such-section', {}, root, 2)).err();
      for (const section of line.split(' -- ')[1]?.split(' ') ?? [])
        expect(told).toContain(section);
    },
  },
  {
    fits: /^npm run torture( -- --seed 5 --points \d+)?$/,
    async try(line) {
      expect(Object.keys(scripts)).toContain('torture');
      if (line.includes('--seed')) expect((await done(line)).out()).toContain('seed 5');
    },
  },
  {
    fits: /^npm run check:datasets -- FOLDER$/,
    async try(line) {
      expect((await done(line, {}, root, 2)).err()).toContain('FOLDER');
    },
  },
  {
    fits: /^node --import tsx test\/docs\/picture\.ts$/,
    async try() {
      expect(isThere('test/docs/picture.ts')).toBe(true);
      const picture = readFileSync(join(root, 'docs/today.png'));
      expect(picture.subarray(1, 4).toString()).toBe('PNG');
      const [width, height] = [picture.readUInt32BE(16), picture.readUInt32BE(20)];
      expect(width / height).toBe(390 / 844);
      expect(picture.length).toBeLessThan(200_000);
    },
  },
];

/** Each line once, however many documents give it, with the first that does. */
const lines = new Map<string, string>();
for (const { name, text } of documents()) {
  for (const line of commandsIn(text)) if (!lines.has(line)) lines.set(line, name);
}

for (const [line, name] of lines) {
  test(`${name} gives a line that does what it says: ${line}`, async () => {
    const way = ways.find(({ fits }) => fits.test(line));
    if (way === undefined) throw new Error(`no way to try it stands in this file: ${line}`);
    await way.try(line);
  });
}

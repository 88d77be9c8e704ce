import { spawn, spawnSync } from 'node:child_process';
import {
  chmodSync,
  chownSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  statSync,
} from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { readSettings } from '../../collector-service/settings.ts';
import { openHouse } from '../service/live/house.ts';
import { endAll, root, until } from '../service/live/program.ts';
import { freePort, publish, subscribe } from '../service/mosquitto.ts';
import { compose, composeClient } from './compose.ts';
import { done, endTyped, typed } from './shell.ts';
import { commandsIn, documentOf } from './texts.ts';

const { broker, sunsteep } = compose.services;
const dockerfile = readFileSync(join(root, 'Dockerfile'), 'utf8');
const folder = mkdtempSync(join(tmpdir(), 'sunsteep-docker-'));
const makeEnv = commandsIn(documentOf('docs/docker.md').text).find((line) =>
  line.includes('.env'),
)!;
afterAll(async () => {
  await endTyped();
  await endAll();
  rmSync(folder, { recursive: true, force: true });
});

test('no container runs as root, writes beyond its volumes or gains rights', () => {
  for (const container of [broker, sunsteep]) {
    expect(container.read_only).toBe(true);
    expect(container.cap_drop).toEqual(['ALL']);
    expect(container.security_opt).toEqual(['no-new-privileges:true']);
    for (const volume of container.volumes) {
      const [from, , mode] = volume.split(':');
      if (from!.startsWith('.')) expect(mode, volume).toBe('ro');
      else expect(Object.keys(compose.volumes)).toContain(from);
    }
  }
  expect(broker.user).toMatch(/^[1-9]\d*:[1-9]\d*$/);
  expect(dockerfile.split('\nFROM ').at(-1)).toMatch(/^USER node$/m);
});

test('every image is pinned, and the service answers for its health', () => {
  expect(broker.image).toMatch(/^eclipse-mosquitto:\d+\.\d+\.\d+$/);
  const images = [...dockerfile.matchAll(/^FROM (\S+)/gm)].map(([, image]) => image);
  expect(new Set(images)).toEqual(new Set(['node:22-bookworm-slim']));
  expect(broker.healthcheck).toBeDefined();
  expect(dockerfile).toMatch(/^HEALTHCHECK /m);
});

test('the image is built from files that are there and let through', () => {
  const allowed = readFileSync(join(root, '.dockerignore'), 'utf8');
  const copied = [...dockerfile.matchAll(/^COPY (?!--from)(.*) \S+$/gm)].flatMap(([, files]) =>
    files!.split(' '),
  );
  expect(copied.length).toBeGreaterThan(7);
  for (const file of copied) {
    expect(existsSync(join(root, file)), file).toBe(true);
    expect(allowed.split('\n'), file).toContain(`!${file}`);
  }
  const { include } = JSON.parse(readFileSync(join(root, 'tsconfig.build.json'), 'utf8'));
  for (const source of [...include, 'web']) expect(copied, source).toContain(source);
});

test('the one line makes an .env that only its owner reads and the service accepts', async () => {
  await done(makeEnv, {}, folder);
  const file = join(folder, '.env');
  expect(statSync(file).mode & 0o777).toBe(0o600);
  const env = envOf(file);
  expect(env.SERVICE_PASSWORD).toMatch(/^[0-9a-f]{24}$/);
  expect(env.SENSOR_PASSWORD).toMatch(/^[0-9a-f]{24}$/);
  expect(env.SENSOR_PASSWORD).not.toBe(env.SERVICE_PASSWORD);
  const settings = readSettings(filledIn(sunsteep.environment, env));
  expect(settings.url).toMatch(/^http:\/\/[\d.]+:8080$/);
  expect(settings.outsideBroker).toEqual({
    url: 'mqtt://broker:1883',
    username: 'sunsteep',
    password: env.SERVICE_PASSWORD,
  });
});

test('Compose takes the file with that .env, and says what to do without', async () => {
  const client = composeClient();
  if (client === null) {
    console.info('no Compose client here: docker-compose.yml was read as YAML alone');
    return;
  }
  const place = mkdtempSync(join(folder, 'compose-'));
  copyFileSync(join(root, 'docker-compose.yml'), join(place, 'docker-compose.yml'));
  const config = () => spawnSync(client[0]!, [...client.slice(1), 'config', '-q'], { cwd: place });
  const without = config();
  expect(without.status).not.toBe(0);
  expect(String(without.stderr)).toContain('docs/docker.md');
  await done(makeEnv, {}, place);
  const { status, stderr } = config();
  expect(status, String(stderr)).toBe(0);
});

test('its broker lets boards publish, the service hear, and nobody else in', async () => {
  const passwords = { SERVICE_PASSWORD: 'for-the-service', SENSOR_PASSWORD: 'for-the-boards' };
  const env = { ...passwords, PORT: String(await freePort()), ...runFolders() };
  const port = Number(env.PORT);
  const mosquitto = await startBroker(env);
  try {
    const house = await openHouse({ env: outside(port, passwords.SERVICE_PASSWORD) });
    const board = ['-u', 'sensor', '-P', passwords.SENSOR_PASSWORD, '-q', '1'];
    const topic = 'sunsteep/my-tub/tub/temperature';
    expect((await publish(port, [...board, '-t', topic, '-m', '36.4'])).code).toBe(0);
    await until('the reading', async () => {
      const { status, body } = await house.call('GET', '/api/tubs/my-tub/now');
      return status === 200 && body.values['tub/temperature']?.value === 36.4;
    });

    const service = ['-u', 'sunsteep', '-P', passwords.SERVICE_PASSWORD];
    await publish(port, [...board, '-r', '-t', 'sunsteep/service', '-m', 'gone']);
    await publish(port, [...board, '-r', '-t', 'sunsteep/my-tub/report/gain-today', '-m', '99']);
    const hears = await subscribe(port, [
      ...service,
      '-t',
      'sunsteep/service',
      '-C',
      '1',
      '-W',
      '9',
    ]);
    expect(hears.output.trim()).toBe('hearing');
    const curious = [...board.slice(0, 4), '-t', 'sunsteep/#', '-C', '1', '-W', '1'];
    expect((await subscribe(port, curious)).output).not.toMatch(/hearing|36\.4|99/);
    expect((await publish(port, ['-t', topic, '-m', '1'])).code).not.toBe(0);
    const wrong = ['-u', 'sensor', '-P', 'wrong', '-t', topic, '-m', '1'];
    expect((await publish(port, wrong)).code).not.toBe(0);
    expect(await house.unreadable()).toEqual([]);
    await house.stop();
  } finally {
    mosquitto.kill('SIGTERM');
    await new Promise((ended) => mosquitto.once('exit', ended));
  }
});

test('the container is healthy while the service serves, and only then', async () => {
  const server = createServer((request, response) => {
    response.statusCode = request.url === '/health' ? 200 : 404;
    response.end('{}');
  });
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  const { port } = server.address() as AddressInfo;
  const [, , script] = /CMD \["(node)", "(.*)"\]$/m.exec(dockerfile)!;
  const check = `node ${script}`;
  await done(check, { SUNSTEEP_PORT: String(port) });
  await new Promise((closed) => server.close(closed));
  await expect(done(check, { SUNSTEEP_PORT: String(port) })).rejects.toThrow('ended with 1');
});

const outside = (port: number, password: string) => ({
  SUNSTEEP_MQTT_URL: `mqtt://127.0.0.1:${port}`,
  SUNSTEEP_MQTT_USERNAME: 'sunsteep',
  SUNSTEEP_MQTT_PASSWORD: password,
});

const envOf = (file: string): Record<string, string> =>
  Object.fromEntries(
    readFileSync(file, 'utf8')
      .trim()
      .split('\n')
      .map((line) => line.split('=') as [string, string]),
  );

/** `${NAME:?why}` as Compose fills it in. */
const filledIn = (environment: Record<string, string>, env: Record<string, string>) =>
  Object.fromEntries(
    Object.entries(environment).map(([name, value]) => [
      name,
      value.replaceAll(/\$\{(\w+):\?[^}]*\}/g, (_, inner: string) => env[inner] ?? ''),
    ]),
  );

/** Nobody's: as in the container, the broker runs without any right but to its own folders. */
const NOBODY = 65_534;

function runFolders() {
  const place = mkdtempSync(join(folder, 'broker-'));
  chmodSync(folder, 0o755);
  const folders = { RUN_FOLDER: join(place, 'run'), DATA_FOLDER: join(place, 'data') };
  for (const each of [place, ...Object.values(folders)]) {
    mkdirSync(each, { recursive: true });
    if (process.getuid?.() === 0) chownSync(each, NOBODY, NOBODY);
  }
  return folders;
}

/** Runs what the container runs, with a Mosquitto of this machine, until its health check passes. */
async function startBroker(env: Record<string, string>) {
  const script = broker.volumes.find((volume) => volume.includes('mosquitto.sh'))!.split(':')[0]!;
  const asNobody = process.getuid?.() === 0 ? { uid: NOBODY, gid: NOBODY } : {};
  // A copy, since nobody may not see into the folder of the checkout everywhere.
  const copy = join(env.RUN_FOLDER!, '..', 'mosquitto.sh');
  copyFileSync(join(root, script), copy);
  chmodSync(copy, 0o644);
  const child = spawn(broker.entrypoint![0]!, [copy], {
    env: { PATH: `${process.env.PATH}:/usr/sbin`, ...env },
    stdio: ['ignore', 'ignore', 'pipe'],
    ...asNobody,
  });
  let said = '';
  child.stderr.on('data', (data: Buffer) => {
    said += data.toString();
  });
  const health = broker.healthcheck!.test.at(-1)!.replaceAll('$$', '$');
  await until('the healthy broker', async () => {
    if (child.exitCode !== null) throw new Error(`it ended with ${child.exitCode}: ${said}`);
    return (await typed(health, env).ended) === 0;
  });
  return child;
}

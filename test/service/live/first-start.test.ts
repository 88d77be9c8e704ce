import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { openHouse, passwordIn } from './house.ts';
import { endAll, newFolder, run } from './program.ts';

afterAll(endAll);

const linkIn = /https?:\/\/\S+\/pair#(\S+)/g;

test('the first start prints one link, which pairs one phone; later starts print none', async () => {
  const first = await openHouse();
  await first.started.says(/pair#\S+\n/);
  const links = [...first.started.out().matchAll(linkIn)];
  expect(links).toHaveLength(1);
  const [link, code] = links[0]!;
  expect(link.startsWith(`${first.url}/pair#`)).toBe(true);
  expect(code).toMatch(/^[A-Za-z0-9_-]{22}$/); // 128 bits in base64url without padding

  const pairing = await first.call('POST', '/api/pair', { code }, {});
  expect(pairing.status, pairing.text).toBe(200);
  const cookie = pairing.headers.get('set-cookie')!;
  expect(cookie).toMatch(/; HttpOnly/);
  expect(cookie).toMatch(/; SameSite=Lax/);
  const paired = { cookie: cookie.split(';', 1)[0]! };
  expect((await first.call('GET', '/api/tubs', undefined, paired)).status).toBe(200);
  const again = await first.call('POST', '/api/pair', { code }, {});
  expect(again.status, 'the code is good once').toBe(403);
  expect(await first.stop()).toBe(0);

  const second = await openHouse({ folder: first.folder });
  expect((await second.call('GET', '/api/tubs', undefined, paired)).status).toBe(200);
  expect(await second.stop()).toBe(0);
  expect(second.started.out()).not.toMatch(linkIn);

  const secrets = [code!, passwordIn(first.folder), paired.cookie.split('=')[1]!];
  for (const { started } of [first, second]) {
    for (const secret of secrets) expect(started.err()).not.toContain(secret);
  }
  expect(first.started.out(), 'the password is for Set-up alone').not.toContain(secrets[1]);
});

test('the sensors’ password stays the same, in a file that only the owner can read', async () => {
  const first = await openHouse();
  const file = join(first.folder, 'broker-password');
  expect(statSync(file).mode & 0o777).toBe(0o600);
  expect(first.broker.password).toBe(readFileSync(file, 'utf8').trim());
  expect(first.broker.password!.length).toBeGreaterThanOrEqual(12);
  await first.kill();
  const second = await openHouse({ folder: first.folder });
  expect(second.broker.password).toBe(first.broker.password);
  await second.stop();
});

test('nothing that opens a door lies readable for others in a folder of the service’s own', async () => {
  const folder = join(newFolder(), 'data');
  const house = await openHouse({ folder });
  await house.started.says(/pair#\S+\n/);
  await house.stop();
  expect(statSync(folder).mode & 0o077).toBe(0);
  for (const name of readdirSync(folder)) {
    const { mode, size } = statSync(join(folder, name));
    if (size > 0) expect({ name, others: mode & 0o077 }).toEqual({ name, others: 0 });
  }
});

test('a second service on the same folder is refused in one line', async () => {
  const house = await openHouse();
  const env = { SUNSTEEP_DATA: house.folder, SUNSTEEP_PORT: '0', SUNSTEEP_BROKER_PORT: '0' };
  const second = await run(['serve'], env);
  expect(second).toMatchObject({ code: 1, out: '' });
  expect(second.err).toMatch(/^sunsteep: another Sunsteep runs on .+\n$/);
  expect((await house.call('GET', '/health', undefined, {})).body.status).toBe('ok');
  await house.stop();
});

test('a port that is taken is told by the setting that gives another', async () => {
  const house = await openHouse();
  const settings = { SUNSTEEP_HOST: '127.0.0.1', SUNSTEEP_BROKER_HOST: '127.0.0.1' };
  const pages = await run(['serve'], {
    ...settings,
    SUNSTEEP_DATA: newFolder(),
    SUNSTEEP_PORT: String(house.port),
    SUNSTEEP_BROKER_PORT: '0',
  });
  expect(pages.code).toBe(1);
  expect(pages.err.trim().split('\n')).toHaveLength(1);
  expect(pages.err).toMatch(/SUNSTEEP_PORT/);
  const broker = await run(['serve'], {
    ...settings,
    SUNSTEEP_DATA: newFolder(),
    SUNSTEEP_PORT: '0',
    SUNSTEEP_BROKER_PORT: String(house.broker.port),
  });
  expect(broker.code).toBe(1);
  expect(broker.err.trim().split('\n')).toHaveLength(1);
  expect(broker.err).toMatch(/SUNSTEEP_BROKER_PORT/);
  expect(pages.out + broker.out, 'what never served invites nobody').toBe('');
  await house.stop();
});

test('without a token or a paired phone there is nothing but health, pairing and the pages', async () => {
  const house = await openHouse();
  for (const path of [
    'tubs',
    'tubs/kowhai/now',
    'setup',
    'unreadable',
    'openapi.json',
    'no-such',
  ]) {
    const answer = await house.call('GET', `/api/${path}`, undefined, {});
    expect({ path, status: answer.status }).toEqual({ path, status: 401 });
    expect(answer.headers.get('content-type')).toMatch(/^application\/problem\+json/);
  }
  const health = await house.call('GET', '/health', undefined, {});
  expect(health.status).toBe(200);
  const page = await house.call('GET', '/', undefined, { accept: 'text/html' });
  expect(page.status).toBe(200);
  expect(page.text).toMatch(/<!doctype html>/i);
  await house.stop();
});

import { cp, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect, inject, it, vi } from 'vitest';
import { pushPayload } from '../../collector-service/notify/push.ts';
import type { Message } from '../../model/alerts/notice.ts';
import { house, told } from './house.ts';
import { arrived, newPhone, type Phone, read, sentenceOn, spoken, startBrowser } from './phone.ts';
import { ScriptedService } from './scripted-service.ts';
import { alert, present, situation } from './situation.ts';

vi.setConfig({ testTimeout: 60_000, hookTimeout: 120_000 });

let browser: Browser;
let folder: string;
let service: ScriptedService;
let phone: Phone;

beforeAll(async () => {
  browser = await startBrowser();
});

afterAll(async () => {
  await browser?.close();
});

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'sunsteep-installed-'));
  await cp(inject('page'), folder, { recursive: true });
  service = new ScriptedService(folder, house());
  await service.start();
  phone = await newPhone(browser, { locale: 'en-GB', worker: true });
});

afterEach(async () => {
  await phone.context.close();
  await service.stop();
  await rm(folder, { recursive: true });
  expect(phone.troubles).toEqual([]);
});

/** Opens the page and waits until its worker has everything and answers for it. */
async function install(path = '/'): Promise<Page> {
  const { page } = phone;
  await page.goto(service.url + path);
  await arrived(page);
  await page.evaluate(async () => {
    await navigator.serviceWorker.ready;
    if (navigator.serviceWorker.controller) return;
    await new Promise((resolve) =>
      navigator.serviceWorker.addEventListener('controllerchange', resolve, { once: true }),
    );
  });
  return page;
}

/** A browser looks for another version when it finds the time. */
const slowly = { timeout: 20_000 };

const shells = (page: Page) => page.evaluate(() => caches.keys());

/** Whether the newest worker is the one that answers. */
const settled = (page: Page) =>
  page.evaluate(async () => {
    const { active, waiting, installing } = await navigator.serviceWorker.ready;
    return waiting === null && installing === null && active?.state === 'activated';
  });

it('says what it is, with icons for a home screen', async () => {
  const page = await install();
  const cdp = await phone.context.newCDPSession(page);
  const { errors, data } = await cdp.send('Page.getAppManifest');
  expect(errors).toEqual([]);
  const { icons, name } = JSON.parse(data!) as { icons: { src: string }[]; name: string };
  expect(name).toBe('Sunsteep');
  for (const { src } of icons) {
    const size = await page.evaluate(async (src) => {
      const picture = new Image();
      picture.src = src;
      await picture.decode();
      return [picture.naturalWidth, picture.naturalHeight];
    }, src);
    const named = /(\d+)\.png$/.exec(src)?.[1];
    if (named) expect(size).toEqual([Number(named), Number(named)]);
  }
});

it('opens without the network with what was last known and since when', async () => {
  await phone.page.clock.setSystemTime(present);
  const page = await install();
  await page.locator('canvas[data-drawn]').waitFor();
  const facts = await read(page, '.facts');
  await service.stop();
  await page.reload();
  await page.locator('.status.lost').waitFor();
  await page.locator('canvas[data-drawn]').waitFor();
  expect(await read(page, '.status')).toMatch(/^not live since .*14:30$/i);
  expect(await read(page, '.head .name')).toBe('Kōwhai Terrace');
  expect(facts).not.toBe('');
  await page.getByRole('link', { name: 'Alerts', exact: true }).click();
  await page.getByText('Nothing is wrong that these sensors could show.').waitFor();
  await service.start();
  await page.locator('.status.lost').waitFor({ state: 'detached' });
});

it('keeps files alone, and of this phone’s answers nothing that another could see', async () => {
  const page = await install();
  const kept = await page.evaluate(async () => {
    const names = await caches.keys();
    const lists = await Promise.all(names.map(async (name) => (await caches.open(name)).keys()));
    return lists.flat().map(({ url }) => new URL(url).pathname);
  });
  expect(kept.length).toBeGreaterThan(20);
  expect(kept).toContain('/');
  expect(kept.filter((path) => !/^\/(?:assets\/[\w.-]+|icon\.svg)?$/.test(path))).toEqual([]);
});

it('forgets the house with its right, and keeps its owner’s units', async () => {
  const page = await install();
  await page.locator('canvas[data-drawn]').waitFor();
  await page.getByText(/^Units: /).click();
  await page.getByLabel('°F').check();
  const names = () => page.evaluate(() => Object.keys(localStorage).sort());
  await expect.poll(names).toEqual(['sunsteep.last', 'sunsteep.temperature', 'sunsteep.tub']);
  service.shutOut();
  await page.getByText('This phone is not paired yet.').waitFor();
  await expect.poll(names).toEqual(['sunsteep.temperature']);
  await service.stop();
  await page.reload();
  await page.getByText('Sunsteep does not answer.').waitFor();
  expect(await page.locator('body').textContent()).not.toContain('Kōwhai');
});

it('takes a new version by itself, and keeps no more than the one before', async () => {
  const page = await install();
  const [first] = await shells(page);
  const file = join(folder, 'sw.js');
  const code = await readFile(file, 'utf8');
  for (const version of ['aaaa', 'bbbb', 'cccc']) {
    await writeFile(file, code.replace(/"version":"\w+"/, `"version":"${version}"`));
    await page.evaluate(async () => (await navigator.serviceWorker.ready).update());
    await expect.poll(() => shells(page), slowly).toContain(`shell-${version}`);
    await expect.poll(() => settled(page), slowly).toBe(true);
  }
  expect(await shells(page)).toEqual(['shell-bbbb', 'shell-cccc']);
  expect(first).toMatch(/^shell-[0-9a-f]{16}$/);
});

it('a page of the service’s that is no part of it passes the worker by', async () => {
  const page = await install();
  const answer = await page.goto(`${service.url}/api/tubs`);
  expect(answer!.status()).toBe(200);
  expect(answer!.fromServiceWorker()).toBe(false);
  expect(JSON.parse(await answer!.text()).items[0].id).toBe('kowhai');
});

const pump = alert({ id: 'pump-1', tub: 'kowhai' });
const message: Message = {
  event: 'raised',
  severity: 'act',
  tub: 'kowhai',
  title: 'Kōwhai Terrace',
  text: `${pump.says} Check its plug and fuse.`,
  alerts: [pump],
  at: present,
};

/** What a push service delivers, by the browser's developer protocol. */
async function deliver(page: Page, data: string): Promise<void> {
  const cdp = await phone.context.newCDPSession(page);
  const registered = new Promise<string>((resolve) => {
    cdp.on('ServiceWorker.workerRegistrationUpdated', ({ registrations }) => {
      const [one] = registrations.filter(({ isDeleted }) => !isDeleted);
      if (one) resolve(one.registrationId);
    });
  });
  await cdp.send('ServiceWorker.enable');
  const registrationId = await registered;
  await cdp.send('ServiceWorker.deliverPushMessage', {
    origin: service.url,
    registrationId,
    data,
  });
  await cdp.detach();
}

const shown = (page: Page) =>
  page.evaluate(async () => {
    const worker = await navigator.serviceWorker.ready;
    const notices = await worker.getNotifications();
    return notices.map(({ title, body, requireInteraction }) => ({
      ...{ title, body, requireInteraction },
    }));
  });

/** Presses a notice that shows, as the browser tells its worker. */
async function press(): Promise<void> {
  const [worker] = phone.context.serviceWorkers();
  await worker!.evaluate(async () => {
    const { registration } = globalThis as unknown as { registration: ServiceWorkerRegistration };
    const [notification] = await registration.getNotifications();
    const event = new Event('notificationclick');
    const done = new Promise<unknown>((resolve) => {
      // A browser takes `waitUntil` from events of its own alone.
      Object.assign(event, { notification, waitUntil: resolve });
    });
    dispatchEvent(event);
    await done;
  });
}

it('an alert comes by push, is opened from its notice, and its end takes the notice’s place', async () => {
  const standing = situation({ alerts: [pump] });
  service.script.alerts.kowhai = [pump];
  service.script.now.kowhai = told(standing);
  await phone.context.grantPermissions(['notifications'], { origin: service.url });
  const page = await install('/months');
  await deliver(page, pushPayload({ id: '1', message }));
  const raised = { title: message.title, body: message.text, requireInteraction: false };
  await expect.poll(() => shown(page)).toEqual([raised]);

  await press();
  await page.waitForURL('**/tubs/kowhai/alerts/pump-1');
  await expect.poll(() => sentenceOn(page)).toBe(spoken(pump.says));
  expect(await shown(page)).toEqual([]);

  await deliver(page, pushPayload({ id: '1', message }));
  await expect.poll(() => shown(page)).toEqual([raised]);
  const text = 'The pump turns again; 4 kWh of sun were lost.';
  await deliver(page, pushPayload({ id: '2', message: { ...message, event: 'over', text } }));
  await expect.poll(() => shown(page)).toEqual([{ ...raised, body: text }]);

  await service.watched('kowhai');
  service.tellAlert({ ...pump, until: present });
  await page.getByText('Over', { exact: true }).waitFor();
});

it('a danger stays until it is answered, and what cannot be read still shows', async () => {
  await phone.context.grantPermissions(['notifications'], { origin: service.url });
  const page = await install();
  await deliver(page, pushPayload({ id: '3', message: { ...message, severity: 'danger' } }));
  await expect.poll(() => shown(page)).toMatchObject([{ requireInteraction: true }]);
  await deliver(page, 'no JSON');
  await expect
    .poll(async () => (await shown(page)).map(({ title }) => title))
    .toContain('Sunsteep');
});

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { strFromU8, unzipSync } from 'fflate';
import { connectAsync, type MqttClient } from 'mqtt';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { checkSetup } from '../../../collector-service/serve/setup-check.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Alert } from '../../../model/shapes.ts';
import { arrived, newPhone, type Phone, startBrowser } from '../../browser/phone.ts';
import { type House, kowhaiPlace, openBoard, openHouse, TOKEN } from '../live/house.ts';
import { endAll, newFolder, root, until } from '../live/program.ts';

/** A house in which everything that can be called something is called something that wants to be run. */

const evil = (place: string) => `=A1;<img class=hurt src=x onerror=hurt=1>"'><b>${place}`;
const MINUTE = 60_000;

let house: House;
let board: MqttClient;
let browser: Browser;
let phone: Phone;

beforeAll(async () => {
  const folder = newFolder();
  await keepTheHouse(folder);
  [house, browser] = await Promise.all([openHouse({ folder }), startBrowser()]);
  board = await openBoard(house);
  phone = await newPhone(browser, { locale: 'en-GB' });
  await Promise.all([hearOddThings(), tellOfAlerts(), pairAnother()]);
  const made = await house.call('POST', '/api/phones', { right: 'full' });
  await phone.page.goto(made.body.link);
  await phone.page.waitForURL((url) => url.pathname === '/');
  await arrived(phone.page);
});
afterAll(async () => {
  await browser?.close();
  await board?.endAsync();
  await endAll();
});

const now = Date.now();
const dateIn = (days: number) => new Date(now + days * 1440 * MINUTE).toISOString().slice(0, 10);
const month = dateIn(0).slice(0, 7);

const wired = {
  ...{ topic: evil('wired').replaceAll('/', ''), pointer: `/${evil('pointer')}` },
  ...{ tub: 'kowhai', point: 'pump/flow' },
};
const address = `"${evil('from').replace(';', '')}" <a@b.test>`;
const mail = {
  ...{ host: '127.0.0.1', port: 1, from: address, to: [address] },
  ...{ user: evil('user'), password: 'x' },
};
const setup = {
  tubs: [
    {
      ...{ id: 'kowhai', name: evil('tub'), place: kowhaiPlace },
      boards: [{ name: evil('board'), points: ['outdoor/temperature'] }],
    },
    { id: 'lower', name: evil('other tub'), place: kowhaiPlace },
  ],
  wiring: [wired],
  notify: { mail, webhook: { url: `http://127.0.0.1:1/${evil('path')}`, secret: 'x' } },
};

/** Water that was too hot for an hour and a half, and a board that has gone silent before that. */
async function keepTheHouse(folder: string) {
  const checked = checkSetup(setup);
  if ('faults' in checked) throw new Error(JSON.stringify(checked.faults));
  const minutes = (point: string, value: number, from: number, to: number) =>
    Array.from({ length: from - to }, (_, i) => ({
      ...{ tub: 'kowhai', point, value, t: now - (from - i) * MINUTE },
    }));
  const readings = [
    ...minutes('tub/temperature', 43, 90, 0),
    ...minutes('outdoor/temperature', 20, 300, 100),
  ];
  const store = openStore(folder);
  await store.keep({ readings, unreadable: [], at: now });
  await store.addSetup({ from: Number.NEGATIVE_INFINITY, setup: checked.setup, madeAt: now });
  const entry = { id: 'a', kind: 'remark', until: null, data: null, note: evil('remark') } as const;
  await store.addLogEntry('kowhai', { ...entry, from: now - 60 * MINUTE }, now);
  await store.close();
}

async function hearOddThings() {
  await house.call('POST', '/api/listen', { minutes: 5 });
  await board.publishAsync('sunsteep/kowhai/outdoor/temperature', evil('payload'), { qos: 1 });
  await board.publishAsync(`sunsteep/kowhai/${evil('point')}`, '1', { qos: 1 });
  await board.publishAsync(evil('heard').replace('/', ''), `{"${evil('field')}": 3}`, { qos: 1 });
  const login = { username: evil('login'), password: 'x', reconnectPeriod: 0 };
  await connectAsync(`mqtt://127.0.0.1:${house.broker.port}`, login).catch(() => {});
}

/** One alert names the board; the other is said to be none, with words of its own. */
async function tellOfAlerts() {
  const alerts = await until('alerts', async () => {
    const { items } = await house.get<{ items: Alert[] }>('/api/tubs/kowhai/alerts');
    return items.some(({ says }) => says.includes('<img')) && items.length > 1 && items;
  });
  const { id } = alerts.find(({ says }) => !says.includes('<img'))!;
  const url = `/api/tubs/kowhai/alerts/${id}/not-a-fault`;
  expect((await house.call('POST', url, { why: evil('why') })).status).toBe(200);
}

async function pairAnother() {
  const made = await house.call('POST', '/api/phones', { right: 'viewer' });
  const code = made.body.link.split('#')[1];
  const paired = await house.call('POST', '/api/pair', { code }, {});
  const name = evil('phone').slice(0, 60);
  expect((await house.call('PUT', `/api/phones/${paired.body.id}`, { name })).status).toBe(200);
}

/** What would be there, or be so, if anything had been taken for markup or had run. */
const hurt = (page: Page) =>
  page.evaluate(() => ({
    elements: document.querySelectorAll('.hurt, [onerror], [onload], script:not([src]), b, iframe')
      .length,
    ran: (window as unknown as { hurt?: number }).hurt ?? null,
    links: [...document.links]
      .map(({ href }) => href)
      .filter((href) => !/^(https?|blob):/.test(href)),
  }));
const unhurt = { elements: 0, ran: null, links: [] };

/** Every screen, by its name in the page's list, and which of what was called something stands on it. */
const screens: [screen: string, path: string, places: string[]][] = [
  ['tubs', '/tubs', ['tub', 'other tub']],
  ['today', '/', ['tub']],
  ['alerts', '/alerts', ['board']],
  ['months', '/months', []],
  ['months', `/months/${month}`, []],
  ['traces', '/traces', ['board', 'remark', 'why']],
  ['more', '/more', []],
  ['log', '/log', ['remark', 'why']],
  ['phones', '/phones', ['phone']],
  ['notices', '/notices', []],
  ['setup', '/setup', []],
  ['setup', '/setup/tub', []],
  ['sensors', '/setup/sensors', ['wired', 'pointer', 'heard', 'field', 'point', 'payload']],
  ['guided', '/setup/bucket-test', []],
  ['guided', '/setup/cup-check', []],
  ['handover', '/handover', []],
  ['pair', '/pair', []],
];

test('the list of these tests has every screen that there is', () => {
  const list = readFileSync(join(root, 'web/screens.ts'), 'utf8');
  const names = [...list.matchAll(/^ {2}(\w+)Screen,$/gm)].map(([, name]) => name);
  expect(names.length).toBeGreaterThan(10);
  expect(names.sort()).toEqual([...new Set(screens.map(([name]) => name))].sort());
});

test('on every screen what things are called stands as it was written, and nothing of it runs', async () => {
  const { page } = phone;
  const { items } = await house.get<{ items: Alert[] }>('/api/tubs/kowhai/alerts');
  const opened = items.map(({ id, says }): (typeof screens)[number] => [
    ...(['alerts', `/alerts/${id}`] as const),
    says.includes('<img') ? ['board'] : [],
  ]);
  for (const [, path, places] of [...screens, ...opened]) {
    const ofHouse = path === '/tubs' || path === '/pair';
    await page.goto(house.url + (ofHouse ? '' : '/tubs/kowhai') + path);
    await arrived(page);
    for (const summary of await page.locator('summary').all()) await summary.click();
    for (const place of places) {
      // words are kept together by spaces that do not break
      const written = new RegExp(`<img\\s.*<b>${place.replace(' ', '\\s')}`);
      await page.getByText(written).first().waitFor();
    }
    expect(await hurt(page), path).toEqual(unhurt);
  }
  expect(phone.troubles).toEqual([]);
});

test('an address that wants to be run is an address of the page, or none', async () => {
  const { page } = phone;
  for (const path of [
    `/traces?points=${encodeURIComponent(evil('points'))}`,
    `/day/${encodeURIComponent(evil('day'))}`,
    `/tubs/${encodeURIComponent(evil('id'))}/`,
    `/handover?from=${encodeURIComponent(evil('from'))}`,
    '/tubs/javascript:hurt=1/',
  ]) {
    await page.goto(house.url + path);
    await page.locator('h1').waitFor();
    expect(await hurt(page), path).toEqual(unhurt);
  }
  expect(phone.troubles).toEqual([]);
});

test('the sheet, and page and tables of a hand-over file have it as text too', async () => {
  const asked = `${house.url}/api/tubs/kowhai/handover?from=${dateIn(-2)}&to=${dateIn(1)}`;
  const zip = await fetch(asked, { headers: { authorization: `Bearer ${TOKEN}` } });
  const parts = unzipSync(new Uint8Array(await zip.arrayBuffer()));
  for (const name of ['alerts.csv', 'log.csv', 'days.csv']) {
    const csv = strFromU8(parts[name]!);
    if (name !== 'days.csv') expect(csv, name).toContain("'=A1;<img");
    for (const cell of csv.split(/[,;|\t\r\n]/)) {
      expect(cell.replace(/^[\s"]+/, ''), name).not.toMatch(/^([=+@]|-(?!\d))/);
    }
  }
  const { page } = phone;
  await page.goto(`${house.url}/api/tubs/kowhai/months/${month}/sheet`);
  expect(await page.locator('body').textContent()).toContain('<b>tub');
  expect(await hurt(page)).toEqual(unhurt);
  // opened from a disk it has no policy of ours around it
  const alone = await browser.newPage();
  await alone.setContent(strFromU8(parts['page.html']!), { waitUntil: 'load' });
  const text = await alone.locator('body').textContent();
  for (const place of ['tub', 'remark', 'why']) expect(text).toContain(`<b>${place}`);
  expect(await hurt(alone)).toEqual(unhurt);
  await alone.close();
});

test('were there markup in a page all the same, none of its code would run', async () => {
  const { page } = phone;
  await page.goto(`${house.url}/more`);
  await arrived(page);
  const wanted = ['base-uri', 'img-src', 'object-src', 'script-src-attr', 'script-src-elem'];
  const blocked = await page.evaluate(async (awaited) => {
    const told: string[] = [];
    document.addEventListener('securitypolicyviolation', ({ effectiveDirective }) => {
      told.push(effectiveDirective);
    });
    const script = document.createElement('script');
    script.textContent = 'window.hurt = 1';
    const box = document.createElement('div');
    box.innerHTML =
      '<img src="http://127.0.0.1:1/x"><img src="data:," onerror="hurt=1"><iframe src="/"></iframe>' +
      '<a href="javascript:hurt=1">x</a><form action="http://127.0.0.1:1/"><button>x</button></form>' +
      '<object data="/"></object><base href="http://127.0.0.1:1/">';
    document.body.append(script, box);
    box.querySelector('a')!.click();
    box.querySelector('button')!.click();
    const isTold = () => awaited.every((directive) => told.includes(directive));
    for (let n = 0; n < 500 && !isTold(); n++) await new Promise((go) => setTimeout(go, 20));
    return told;
  }, wanted);
  expect(blocked).toEqual(expect.arrayContaining(wanted));
  expect(await page.evaluate(() => (window as unknown as { hurt?: number }).hurt)).toBeUndefined();
});

test('no page that is delivered has code in it, or asks for any from elsewhere', async () => {
  const index = await (await fetch(house.url, { headers: { accept: 'text/html' } })).text();
  expect(index).toMatch(/<script type="module"[^>]* src="\/assets\//);
  expect(index.replaceAll(/<script [^>]*src="\/assets\/[^>]*><\/script>/g, '')).not.toMatch(
    /<script|\son\w+=|style=|javascript:|<style|https?:/i,
  );
  const { headers } = await fetch(house.url);
  const policy = headers.get('content-security-policy')!;
  expect(policy).toMatch(/default-src 'self'/);
  expect(policy).not.toMatch(/unsafe|\*|https?:|script-src/);
});

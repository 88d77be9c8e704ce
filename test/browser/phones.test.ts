import type { AddressInfo } from 'node:net';
import type { Browser, Page } from 'playwright-core';
import {
  afterAll,
  afterEach,
  beforeAll,
  beforeEach,
  describe,
  expect,
  inject,
  it,
  vi,
} from 'vitest';
import { type House, openHouse, T0, viewer } from '../service/serve/house.ts';
import { house } from './house.ts';
import { arrived, newPhone, type Phone, read, sentenceOn, spoken, startBrowser } from './phone.ts';
import { type Script, ScriptedService } from './scripted-service.ts';

vi.setConfig({ testTimeout: 60_000, hookTimeout: 120_000 });

let browser: Browser;

beforeAll(async () => {
  browser = await startBrowser();
});

afterAll(async () => {
  await browser?.close();
});

const button = (page: Page, name: string | RegExp) =>
  page.getByRole('button', { name, exact: true });

describe('who may see and who may change', () => {
  let service: ScriptedService;
  let phone: Phone;

  afterEach(async () => {
    await phone.context.close();
    await service.stop();
    expect(phone.troubles).toEqual([]);
  });

  async function open(changes: Partial<Script> = {}, path = '/phones') {
    service = new ScriptedService(inject('page'), house(changes));
    await service.start();
    phone = await newPhone(browser, { locale: 'en-GB' });
    await phone.page.goto(service.url + path);
    await arrived(phone.page);
    return phone.page;
  }

  it('is found under More', async () => {
    const page = await open({}, '/more');
    await page.getByRole('link', { name: 'Phones', exact: true }).click();
    await page.getByText('may change things').waitFor();
    expect(await sentenceOn(page)).toBe('2 phones may change things, one phone may look.');
  });

  it('is told of each phone: what it may do, of which tubs, until when, when it was seen', async () => {
    const page = await open();
    await page.locator('.rows').first().waitFor();
    expect((await page.locator('.rows').first().locator('li').allInnerTexts()).map(spoken)).toEqual(
      [
        'Mere’s phone, this phone May see and change Let in Tuesday 6 January. Rename Remove',
        'Android tablet May look only Let in Saturday 21 February. Seen 5 h 30 min ago. ' +
          'Rename Remove',
        'Tama, plumber May see and change Only Kōwhai Terrace. Until Saturday 7 March. ' +
          'Let in Sunday 1 March. Not seen since. Rename Remove',
      ],
    );
    expect(await read(page, '.rows >> nth=1')).toContain('A link: may look only');
    expect(await read(page, '.rows >> nth=1')).toContain('Good until 14:37, once.');
  });

  it('a phone that may only look is told so, and offered nothing', async () => {
    const page = await open({ right: 'viewer' });
    expect(await sentenceOn(page)).toBe('This phone may look, but not let other phones in.');
    expect(await page.locator('main button').count()).toBe(0);
  });

  it('a link counts down and lets nobody in when its time is over', async () => {
    const page = await open();
    await button(page, 'Let one more phone in…').click();
    await button(page, 'Make the link').click();
    expect(await page.locator('.left').textContent()).toMatch(/^(10|9) min.* left$/);
    expect(await page.locator('svg.code path').getAttribute('d')).toMatch(/^M4 4h7v1h-7z/);
    service.script.phones = service.script.phones.filter((one) => !('expires' in one));
    const { now } = service.script;
    service.tell('kowhai', { ...now.kowhai!, at: '2026-03-01T01:41:00.000Z' });
    await page.getByText('The ten minutes are over.').waitFor();
    expect(await page.locator('svg.code').count()).toBe(0);
  });

  it('keeps the list with its age while the service is out of reach', async () => {
    const page = await open();
    await page.locator('.rows').first().waitFor();
    await service.stop();
    await page.getByText('Sunsteep has been out of reach since').waitFor();
    expect(await page.locator('.rows').count()).toBe(2);
    await button(page, 'Remove Android tablet').click();
    await button(page, 'Yes, remove it').click();
    await page.getByText('whether it arrived is not known.').waitFor();
    await service.start();
    await page.locator('.phones > .lost').waitFor({ state: 'detached' });
  });
});

describe('with the service itself', () => {
  let real: House;
  let url: string;
  const open: Phone[] = [];

  beforeEach(async () => {
    real = await openHouse({ webFolder: inject('page') });
    await real.app.listen({ host: '127.0.0.1', port: 0 });
    url = `http://127.0.0.1:${(real.app.server.address() as AddressInfo).port}`;
  });

  afterEach(async () => {
    for (const { context, troubles } of open.splice(0)) {
      await context.close();
      expect(troubles).toEqual([]);
    }
    await real.close();
  });

  async function phoneAt(path: string, rights?: Parameters<House['pair']>[0] | null) {
    const phone = await newPhone(browser, { locale: 'en-GB' });
    open.push(phone);
    if (rights !== null) {
      const [name, value] = (await real.pair(rights)).cookie.split('=') as [string, string];
      await phone.context.addCookies([{ name, value, url }]);
    }
    await phone.page.goto(url + path);
    return phone.page;
  }

  it('one phone lets another in, names it, and shuts it out at once, its socket too', async () => {
    const owner = await phoneAt('/tubs/kowhai/phones');
    await button(owner, 'Let one more phone in…').click();
    await owner.getByLabel('Last day').fill('2026-02-20');
    await button(owner, 'Make the link').click();
    const end = owner.locator('.field', { has: owner.getByLabel('Last day') });
    await end.getByText('The last day must be today or later.').waitFor();
    expect(await owner.getByLabel('Last day').getAttribute('aria-invalid')).toBe('true');
    await owner.getByLabel('Last day').fill('2026-03-08');
    await button(owner, 'Make the link').click();
    const link = spoken(await owner.locator('code.line').textContent());
    expect(link).toMatch(new RegExp(`^${url}/pair#[\\w-]{22}$`));

    const helper = await phoneAt(link.slice(url.length), null);
    await helper.waitForURL(`${url}/`);
    await helper.goto(`${url}/tubs/kowhai`);
    await arrived(helper);
    await owner.getByText(/^It is in: computer\./).waitFor();
    await button(owner, 'Done').click();

    const viewers = async () =>
      (await real.store.phones()).filter(({ right }) => right === 'viewer');
    const [joined] = await viewers();
    expect(joined).toMatchObject({ tubs: null });
    expect(joined!.until).toBe(Date.parse('2026-03-09T00:00:00+13:00'));

    const looker = owner.locator('li', { hasText: 'May look only' });
    await looker.getByRole('button', { name: 'Rename computer' }).click();
    await owner.getByLabel('Name', { exact: true }).fill('Tama, plumber');
    await owner.keyboard.press('Enter');
    await owner.getByText('It is now called Tama, plumber.').waitFor();
    expect((await viewers())[0]!.name).toBe('Tama, plumber');

    await button(owner, 'Remove Tama, plumber').click();
    await button(owner, 'Yes, remove it').click();
    await owner.getByText('Removed: Tama, plumber.').waitFor();
    await helper.getByText('This phone is not paired yet.').waitFor();
    expect(await sentenceOn(owner)).toBe('One phone may see and change everything here.');
  });

  it('a link that is used stays used when the phone that came by it is removed', async () => {
    const owner = await phoneAt('/tubs/kowhai/phones');
    await button(owner, 'Let one more phone in…').click();
    await button(owner, 'Make the link').click();
    const link = spoken(await owner.locator('code.line').textContent());
    await phoneAt(link.slice(url.length), null);
    await owner.getByText(/^It is in: computer\./).waitFor();
    const looker = owner.locator('li', { hasText: 'May look only' });
    await looker.getByRole('button', { name: /^Remove/ }).click();
    await button(owner, 'Yes, remove it').click();
    await owner.getByText('Removed: computer.').waitFor();
    expect(await real.store.phones()).toHaveLength(1);
    expect(await owner.locator('svg.code, code.line').count()).toBe(0);
    expect(await owner.getByText('It lets one phone in, once').count()).toBe(0);
    await button(owner, 'Make another link').waitFor();
  });

  it('a link that is taken back in the list is shown no more', async () => {
    const owner = await phoneAt('/tubs/kowhai/phones');
    await button(owner, 'Let one more phone in…').click();
    await button(owner, 'Make the link').click();
    await owner.locator('svg.code').waitFor();
    // Beside its picture, and in the list once that has been asked for.
    await button(owner, 'Take it back').nth(1).click();
    await owner.locator('svg.code').waitFor({ state: 'detached' });
    expect(await real.store.links()).toEqual([]);
    await button(owner, 'Make another link').waitFor();
  });

  it('a phone that removes itself is told what happens, asked twice, and out', async () => {
    const page = await phoneAt('/tubs/kowhai/phones');
    await page.getByRole('button', { name: /^Remove/ }).click();
    await page.getByText('Remove this phone, the one in your hand?').waitFor();
    await button(page, 'Keep it').click();
    expect(await real.store.phones()).toHaveLength(1);
    await page.getByRole('button', { name: /^Remove/ }).click();
    await button(page, 'Yes, remove it').click();
    await page.getByText('This phone is not paired yet.').waitFor();
    expect(await real.store.phones()).toEqual([]);
  });

  it('a link is taken back before anybody uses it', async () => {
    const page = await phoneAt('/tubs/kowhai/phones');
    await button(page, 'Let one more phone in…').click();
    await page.getByRole('radio', { name: /May see and change/ }).check();
    await button(page, 'Make the link').click();
    await page.locator('svg.code').waitFor();
    expect(await real.store.links()).toMatchObject([{ right: 'full', expires: T0 + 600_000 }]);
    await button(page, 'Take it back').first().click();
    await page.getByText('The link is void.').waitFor();
    expect(await real.store.links()).toEqual([]);
  });

  it('a viewer’s phone sees no phones', async () => {
    const page = await phoneAt('/phones', viewer);
    await page.getByText('This phone may look, but not let other phones in.').waitFor();
  });
});

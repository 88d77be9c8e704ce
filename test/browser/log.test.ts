import type { AddressInfo } from 'node:net';
import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, inject, it, vi } from 'vitest';
import type { LogEntryShape } from '../../model/owner-log.ts';
import { openHouse, viewer } from '../service/serve/house.ts';
import { house, told } from './house.ts';
import {
  arrived,
  newPhone,
  type Phone,
  type PhoneKind,
  read,
  sentenceOn,
  spoken,
  startBrowser,
} from './phone.ts';
import { type Script, ScriptedService } from './scripted-service.ts';
import { present, situation } from './situation.ts';

vi.setConfig({ testTimeout: 60_000, hookTimeout: 120_000 });

let browser: Browser;

beforeAll(async () => {
  browser = await startBrowser();
});

afterAll(async () => {
  await browser?.close();
});

const entries: LogEntryShape[] = [
  { id: 'b', kind: 'filter-cleaned', from: '2026-02-20T21:00:00.000Z', note: 'a <b>frog</b>' },
  { id: 'c', kind: 'bucket-test', from: '2026-02-10T01:00:00.000Z', data: { lPerMin: 4.1 } },
];

describe('the log', () => {
  let service: ScriptedService;
  let phone: Phone;

  afterEach(async () => {
    await phone.context.close();
    await service.stop();
    expect(phone.troubles).toEqual([]);
  });

  async function open(changes: Partial<Script> = {}, kind: PhoneKind = {}) {
    service = new ScriptedService(inject('page'), house({ log: { kowhai: entries }, ...changes }));
    await service.start();
    phone = await newPhone(browser, { locale: 'en-GB', ...kind });
    await phone.page.goto(`${service.url}/log`);
    await arrived(phone.page);
    return phone.page;
  }

  const button = (name: string) => phone.page.getByRole('button', { name, exact: true });
  const listed = async () => (await phone.page.locator('.rows > li').allInnerTexts()).map(spoken);
  const log = () => service.script.log.kowhai!;

  it('lists what was done, the newest first, with what each changes', async () => {
    const page = await open();
    expect(await sentenceOn(page)).toBe('Last in the log: Filter cleaned.');
    expect(await read(page, '.detail')).toBe('Saturday 21 February, 10:00.');
    await button('Filter cleaned').waitFor();
    expect(await listed()).toEqual([
      'Filter cleaned Saturday 21 February, 10:00 a <b>frog</b> Flow from before is not held ' +
        'against flow after it. Remove',
      'Bucket test Tuesday 10 February, 14:00 It told 4.1 l/min. Heat is worked out with this flow ' +
        'from then on. Remove',
    ]);
  });

  it('is found under More, whose tab stays marked', async () => {
    const page = await open();
    const tab = page.getByRole('link', { name: 'More', exact: true });
    expect(await tab.getAttribute('aria-current')).toBe('true');
    await tab.click();
    await page.getByText('What you need now and then').waitFor();
    expect(await tab.getAttribute('aria-current')).toBe('page');
    await page.getByRole('link', { name: 'Log', exact: true }).click();
    await page.getByText('Last in the log: Filter cleaned.').waitFor();
  });

  it('takes what was done just now with two taps', async () => {
    const page = await open();
    await button('Water changed').click();
    expect(await page.getByLabel('When').inputValue()).toBe('2026-03-01T14:30');
    await button('Enter it').click();
    await page.getByText('Entered: Water changed.').waitFor();
    expect(log()[0]).toMatchObject({ kind: 'water-changed' });
    expect(Date.parse(log()[0]!.from)).toBeCloseTo(Date.parse(present), -5);
    expect(await sentenceOn(page)).toBe('Last in the log: Water changed.');
    await expect.poll(() => page.evaluate(() => document.activeElement?.tagName)).toBe('H1');
    expect(await page.locator('form').count()).toBe(0);
  });

  it('takes a bath that is planned, in the tub’s own time', async () => {
    const page = await open({}, { timezoneId: 'Europe/Berlin' });
    await button('Bathing until…').click();
    expect(await page.getByLabel('Until').inputValue()).toBe('2026-03-01T16:30');
    await page.getByLabel('From').fill('2026-03-07T20:00');
    await button('Enter it').click();
    await page.getByText('The end must come after the beginning.').waitFor();
    expect(log()).toHaveLength(2);
    await page.getByLabel('Until').fill('2026-03-07T22:15');
    await button('Enter it').click();
    await page.getByText('Entered: Bathing.').waitFor();
    expect(log()[0]).toMatchObject({
      ...{ from: '2026-03-07T07:00:00.000Z', until: '2026-03-07T09:15:00.000Z' },
    });
    expect(await sentenceOn(page)).toBe('Planned: Bathing.');
    expect((await listed())[0]).toContain('Bathing, planned Saturday 7 March, 20:00 until 22:15');
  });

  it('takes an absence without an end, which sensor was moved, and anything in words', async () => {
    const page = await open();
    await button('Away from–to…').click();
    await button('Enter it').click();
    await page.getByText('Entered: Away.').waitFor();
    expect(log()[0]).not.toHaveProperty('until');
    await button('Sensor moved…').click();
    await page.getByLabel('Which sensor').selectOption({ label: 'Water in the tub' });
    await button('Enter it').click();
    await page.getByText('Entered: Sensor moved.').waitFor();
    expect(log().find(({ kind }) => kind === 'sensor-moved')!.data).toEqual({
      point: 'tub/temperature',
    });
    await button('Anything else…').click();
    await button('Enter it').click();
    await page.getByText('Say in a few words what was done.').waitFor();
    await page.getByLabel('What was done').fill('Soot washed off');
    await button('Enter it').click();
    await page.getByText('Entered: Remark.').waitFor();
    expect(log().find(({ kind }) => kind === 'remark')!.note).toBe('Soot washed off');
  });

  it('takes nothing that has not been done yet, but says so beside it', async () => {
    const page = await open();
    await button('New cover').click();
    await page.getByLabel('When').fill('2026-03-02T14:30');
    await button('Enter it').click();
    await page.getByText('That lies ahead. Enter it once it has been done.').waitFor();
    await page.getByLabel('When').fill('');
    await button('Enter it').click();
    await page.getByText('Say when that was: a date and a time.').waitFor();
    expect(log()).toHaveLength(2);
    await button('Filter cleaned').click();
    expect(await page.locator('.wrong').count()).toBe(0);
  });

  it('of a drained tub offers to take it into use again, of another to drain it', async () => {
    const drained = situation({ figures: { drainedSince: '2026-02-01T00:00:00.000Z' } });
    await open({ now: { kowhai: told(drained) } });
    await button('In use again').waitFor();
    expect(await button('Drained').count()).toBe(0);
    await phone.context.close();
    await service.stop();
    await open();
    await button('Drained').waitFor();
    expect(await button('In use again').count()).toBe(0);
  });

  it('removes an entry after it has asked twice', async () => {
    const page = await open();
    const remove = page.getByRole('button', { name: /^Remove: Filter cleaned/ });
    await remove.click();
    await page.getByText('Remove this from the log?').waitFor();
    await button('Keep it').click();
    expect(log()).toHaveLength(2);
    await remove.click();
    await button('Yes, remove it').click();
    await page.getByText('Removed: Filter cleaned.').waitFor();
    expect(log().map(({ id }) => id)).toEqual(['c']);
    expect(await listed()).toHaveLength(1);
    expect(await sentenceOn(page)).toBe('Last in the log: Bucket test.');
  });

  it('says that an entry was gone already', async () => {
    const page = await open();
    await page.getByRole('button', { name: /^Remove: Bucket test/ }).click();
    service.script.log.kowhai = entries.slice(0, 1);
    await button('Yes, remove it').click();
    await page.getByText('That entry was no longer there.').waitFor();
    expect(await listed()).toHaveLength(1);
  });

  it('lets a viewer read, and says that it may not write', async () => {
    const page = await open({ right: 'viewer' });
    await page.getByText('This phone may look, but not write.').waitFor();
    expect(await listed()).toHaveLength(2);
    expect(await page.getByRole('button').count()).toBe(0);
  });

  it('tells a phone that has lost its right meanwhile', async () => {
    const page = await open();
    await button('New cover').click();
    service.script.right = 'viewer';
    await button('Enter it').click();
    await page.getByText('This phone may look, but not write.').waitFor();
    expect(log()).toHaveLength(2);
  });

  it('keeps what was said where the service does not answer, and enters it later', async () => {
    const page = await open();
    await service.watched('kowhai');
    await button('Anything else…').click();
    await page.getByLabel('What was done').fill('Soot washed off');
    await service.stop();
    await page.locator('.log .lost').waitFor();
    await button('Enter it').click();
    await page.getByText('Sunsteep did not answer: whether it arrived is not known.').waitFor();
    expect(await listed()).toHaveLength(2);
    await service.start();
    await page.locator('.log .lost').waitFor({ state: 'detached' });
    expect(await page.getByLabel('What was done').inputValue()).toBe('Soot washed off');
    await button('Enter it').click();
    await page.getByText('Entered: Remark.').waitFor();
  });

  it('says of an empty log what it is for', async () => {
    const page = await open({ log: {} });
    expect(await sentenceOn(page)).toBe('Nothing stands in the log yet.');
    expect(await page.locator('.rows').count()).toBe(0);
  });

  it('is written with the keyboard alone', async () => {
    const page = await open();
    await button('Filter cleaned').focus();
    await page.keyboard.press('Enter');
    await page.getByLabel('In your words').focus();
    await page.keyboard.type('leaves');
    await page.keyboard.press('Enter');
    await page.getByText('Entered: Filter cleaned.').waitFor();
    expect(log()[0]!.note).toBe('leaves');
  });
});

describe('with the service itself', () => {
  it('what a phone enters is kept and taken out again; a viewer is refused', async () => {
    const real = await openHouse({ webFolder: inject('page') });
    await real.app.listen({ host: '127.0.0.1', port: 0 });
    const url = `http://127.0.0.1:${(real.app.server.address() as AddressInfo).port}`;
    const phone = await newPhone(browser, { locale: 'en-GB' });
    const { page } = phone;
    const come = async (rights: Parameters<typeof real.pair>[0]) => {
      const [name, value] = (await real.pair(rights)).cookie.split('=') as [string, string];
      await phone.context.addCookies([{ name, value, url }]);
      await page.goto(`${url}/tubs/kowhai/log`);
      await arrived(page);
    };
    try {
      await come({});
      await page.getByRole('button', { name: 'Sensor moved…' }).click();
      await page.getByLabel('Which sensor').selectOption('tub/temperature');
      await page.getByLabel('In your words').fill('deeper');
      await page.getByRole('button', { name: 'Enter it' }).click();
      await page.getByText('Entered: Sensor moved.').waitFor();
      const [entry] = await real.watching.log('kowhai');
      expect(entry).toMatchObject({
        ...{ kind: 'sensor-moved', data: { point: 'tub/temperature' }, note: 'deeper' },
      });
      await page.getByRole('button', { name: /^Remove: / }).click();
      await page.getByRole('button', { name: 'Yes, remove it' }).click();
      await page.getByText('Nothing stands in the log yet.').waitFor();
      expect(await real.watching.log('kowhai')).toEqual([]);
      await come(viewer);
      await page.getByText('This phone may look, but not write.').waitFor();
      expect(phone.troubles).toEqual([]);
    } finally {
      await phone.context.close();
      await real.close();
    }
  });
});

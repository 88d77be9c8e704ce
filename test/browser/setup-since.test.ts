import type { MqttClient } from 'mqtt';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import type { Setup } from '../../model/setup.ts';
import { sinceOf } from '../../web/setup/since-day.ts';
import { localClock } from '../../web/today/clock-hours.ts';
import { type House, kowhaiPlace, openBoard, openHouse, setUp } from '../service/live/house.ts';
import { endAll } from '../service/live/program.ts';
import { arrived, newPhone, type Phone, startBrowser } from './phone.ts';

vi.setConfig({ testTimeout: 60_000, hookTimeout: 240_000 });

const zone = 'Pacific/Auckland';
const dates = new Intl.DateTimeFormat('en-CA', { timeZone: zone });
const place = { ...localClock(zone), dateOf: (instant: number) => dates.format(instant) };

describe('a change holds', () => {
  const noon = Date.parse('2026-04-06T00:00:00Z'); // noon of the 6th in Auckland

  it('from now or always, whatever day was chosen before', () => {
    expect(sinceOf('now', '', noon, place)).toBe('now');
    expect(sinceOf('always', '2026-09-01', noon, place)).toBe('always');
  });

  it('from the midnight of a day where the tub stands, in summer time and without', () => {
    // Auckland: UTC+13 up to 2026-04-05 03:00, UTC+12 from then on (IANA tz database)
    expect(sinceOf('day', '2026-04-05', noon, place)).toBe('2026-04-04T11:00:00.000Z');
    expect(sinceOf('day', '2026-04-06', noon, place)).toBe('2026-04-05T12:00:00.000Z');
  });

  it('from no day that is still to come, and from no text that is none', () => {
    expect(sinceOf('day', '2026-04-07', noon, place)).toBeNull();
    expect(sinceOf('day', '', noon, place)).toBeNull();
    expect(sinceOf('day', '2026-02-31x', noon, place)).toBeNull();
  });
});

describe('on the phone', () => {
  let browser: Browser;
  let house: House;
  let board: MqttClient;
  let phone: Phone;

  beforeAll(async () => {
    browser = await startBrowser();
    house = await openHouse();
    board = await openBoard(house);
    await board.publishAsync('sunsteep/kowhai/tub/temperature', '36.4', { qos: 1 });
    await setUp(house, { id: 'kowhai', name: 'Kōwhai Terrace', place: kowhaiPlace });
  });

  afterEach(async () => {
    await phone.context.close();
    expect(phone.troubles).toEqual([]);
  });

  afterAll(async () => {
    await board?.endAsync();
    await browser?.close();
    await endAll();
  });

  async function open(path: string): Promise<Page> {
    const { body } = await house.call('POST', '/api/phones', { right: 'full' });
    phone = await newPhone(browser, { locale: 'en-GB' });
    await phone.page.goto(body.link);
    await phone.page.waitForURL((url) => url.pathname === '/');
    await phone.page.goto(`${house.url}${path}`);
    await arrived(phone.page);
    return phone.page;
  }

  it('a day is asked for, refused while it is to come, and sent as its midnight', async () => {
    const page = await open('/setup/tub');
    await page.getByLabel('Water in the tub').fill('1150');
    await page.getByRole('radio', { name: /^Since a day/ }).check();
    const save = page.getByRole('button', { name: 'Save', exact: true });
    await save.click();
    await page.getByText('Choose a day up to today.').waitFor();
    const focused = () => page.evaluate(() => document.activeElement?.id);
    expect(await focused()).toBe('since-first-day');

    const day = page.getByLabel('The first day on which it was so');
    await day.fill(place.dateOf(Date.now() + 48 * 3_600_000));
    expect(await page.getByText('Choose a day up to today.').count()).toBe(0);
    await save.click();
    await page.getByText('Choose a day up to today.').waitFor();
    expect((await house.get<Setup>('/api/setup')).tubs[0]!.tub).toBeUndefined();

    const chosen = place.dateOf(Date.now() - 48 * 3_600_000);
    await day.fill(chosen);
    const asked = page.waitForRequest((request) => request.method() === 'PUT');
    await save.click();
    const from = new URL((await asked).url()).searchParams.get('from')!;
    const clock = new Intl.DateTimeFormat('sv-SE', {
      ...{ timeZone: zone, dateStyle: 'short', timeStyle: 'short' },
    });
    expect(clock.format(new Date(from))).toBe(`${chosen} 00:00`);
    await page.getByText('Saved.', { exact: true }).waitFor();
    expect((await house.get<Setup>('/api/setup')).tubs[0]!.tub).toEqual({ litres: 1150 });
  });
});

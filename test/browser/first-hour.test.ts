import { connectAsync, type MqttClient } from 'mqtt';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect, it, vi } from 'vitest';
import type { Setup } from '../../model/setup.ts';
import { type House, openHouse } from '../service/live/house.ts';
import { endAll } from '../service/live/program.ts';
import { startMosquitto } from '../service/mosquitto.ts';
import { arrived, newPhone, type Phone, read, sentenceOn, spoken, startBrowser } from './phone.ts';

/** An owner's first hour, from an empty folder to heat, by nothing but what the page says. */

vi.setConfig({ testTimeout: 120_000, hookTimeout: 240_000 });

let browser: Browser;
let phone: Phone;
let board: MqttClient | null = null;
let speaking: NodeJS.Timeout | undefined;
const ends: (() => Promise<unknown>)[] = [];

beforeAll(async () => {
  browser = await startBrowser();
});

afterEach(async () => {
  clearInterval(speaking);
  await phone.context.close();
  await board?.endAsync();
  board = null;
  for (const end of ends.splice(0)) await end();
  expect(phone.troubles).toEqual([]);
});

afterAll(async () => {
  await browser?.close();
  await endAll();
});

const TOPIC = 'shed/board/state';

/** What a board with topics and names of its own says, once a second. */
function speak(): void {
  let second = 0;
  const told = () => ({
    ds: [{ t: 36.4 + 0.001 * second }],
    roof: { temp: 71.2 },
    supply: { temp: 36.6 },
    return: { temp: 66.6 },
    flow_lpm: 40,
    pump: 'on',
    rssi: -61,
  });
  const say = () => {
    second++;
    board!.publish(TOPIC, JSON.stringify(told()), { qos: 1 });
  };
  say();
  speaking = setInterval(say, 1000);
}

/** Lets a phone in by the link that the first start prints. */
async function letIn(house: House): Promise<Page> {
  const [link] = await house.started.says(/https?:\/\/\S+\/pair#\S+/);
  phone = await newPhone(browser, { locale: 'en-GB' });
  await phone.page.goto(link);
  await phone.page.waitForURL((url) => url.pathname === '/');
  await arrived(phone.page);
  return phone.page;
}

/** Types into the board what the first page says of the service's own broker. */
async function boardByPage(page: Page): Promise<MqttClient> {
  await page.getByRole('button', { name: 'show' }).click();
  const [, port] = /port (\d+)/.exec(await read(page, '.rows > :nth-child(1)'))!;
  return connectAsync(`mqtt://127.0.0.1:${port}`, {
    username: spoken(await page.locator('.login strong').textContent()),
    password: spoken(await page.locator('.login code').textContent()),
    reconnectPeriod: 0,
  });
}

/** Takes what was guessed, each with one tap. */
async function tap(page: Page, name: string): Promise<void> {
  await page.getByRole('button', { name, exact: true }).click();
  await page.getByText(`${name} is taken in.`).waitFor();
  await page.locator('.heard > li').filter({ hasText: name }).waitFor();
}

async function firstHour(page: Page): Promise<void> {
  await page.getByRole('link', { name: 'Listen to everything' }).click();
  await page.getByRole('heading', { name: 'Set-up: no sensor is heard yet' }).waitFor();
  speak();
  await page.getByText('As warm as a tub is. Perhaps: Water in the tub.').waitFor();
  for (const name of [
    ...['Water in the tub', 'Hot end of the collectors', 'Pump'],
    ...['To the collectors', 'Back to the tub', 'Flow'],
  ]) {
    await tap(page, name);
  }
  await page.getByRole('link', { name: 'Next: where it stands' }).click();
  await page.getByText('Your sensors are being heard.').waitFor();
  await page.getByLabel('Latitude').fill('−41,27');
  await page.getByLabel('Longitude').fill('173.28');
  await page.getByLabel('Name of the tub').fill('Kōwhai Terrace');
  await page.getByRole('button', { name: 'Save the place' }).click();
  await page.getByText('The sun is heating your tub.').waitFor();
  expect(await read(page, '.head')).toContain('Kōwhai Terrace');
  // 40 l/min warmed by 30 K: a tenth of a kWh every five seconds
  await page.getByText(/^(0\.[1-9]|[1-9]\.\d)\skWh$/).waitFor({ timeout: 60_000 });
  expect(await read(page, '.facts')).toMatch(
    /^From the sun today [\d.]+ kWh between [^,]+, measured/,
  );
}

it('a board with topics of its own is found, wired by taps, placed, and brings heat', async () => {
  const house = await openHouse();
  ends.push(() => house.stop());
  const page = await letIn(house);
  expect(await sentenceOn(page)).toBe('Nothing has spoken yet.');
  board = await boardByPage(page);
  await firstHour(page);
  const { tubs, wiring } = await house.get<Setup>('/api/setup');
  expect(tubs).toEqual([
    {
      id: 'my-tub',
      name: 'Kōwhai Terrace',
      place: { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' },
    },
  ]);
  expect(wiring?.map(({ pointer, point }) => [pointer, point])).toEqual([
    ['/ds/0/t', 'tub/temperature'],
    ['/roof/temp', 'collector/temperature'],
    ['/pump', 'pump/running'],
    ['/supply/temp', 'collector/inlet'],
    ['/return/temp', 'collector/outlet'],
    ['/flow_lpm', 'pump/flow'],
  ]);
});

it('the same on a broker of the owner’s own, and from Set-up', async () => {
  const mosquitto = await startMosquitto();
  ends.push(() => mosquitto.remove());
  const house = await openHouse({ env: { SUNSTEEP_MQTT_URL: mosquitto.url } });
  ends.unshift(() => house.stop());
  const page = await letIn(house);
  board = await connectAsync(mosquitto.url);
  await page.getByText('Your own broker').waitFor();
  await page.getByRole('link', { name: 'More' }).click();
  await page.getByRole('link', { name: 'Set-up' }).click();
  await page.getByRole('heading', { name: 'Set-up: first the sensors.' }).waitFor();
  await page.getByRole('link', { name: 'Sensors heard' }).click();
  await page.getByText('As soon as a board speaks').waitFor();
  await page.goto(house.url);
  await firstHour(page);
});

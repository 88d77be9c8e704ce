import { AxeBuilder } from '@axe-core/playwright';
import type { MqttClient } from 'mqtt';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect, it, vi } from 'vitest';
import { type House, openBoard, openHouse } from '../service/live/house.ts';
import { endAll } from '../service/live/program.ts';
import { arrived, newPhone, type Phone, sentenceOn, spoken, startBrowser } from './phone.ts';

vi.setConfig({ testTimeout: 60_000, hookTimeout: 240_000 });

let browser: Browser;
let house: House;
let board: MqttClient;
let phone: Phone;

beforeAll(async () => {
  browser = await startBrowser();
  house = await openHouse();
  board = await openBoard(house);
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

/** A phone that was paired, at the sensors. */
async function open(right: 'full' | 'viewer' = 'full'): Promise<Page> {
  const { body } = await house.call('POST', '/api/phones', { right });
  phone = await newPhone(browser, { locale: 'en-GB' });
  await phone.page.goto(body.link);
  await phone.page.waitForURL((url) => url.pathname === '/');
  await phone.page.goto(`${house.url}/setup/sensors`);
  await arrived(phone.page);
  return phone.page;
}

const send = (topic: string, payload: string) => board.publishAsync(topic, payload, { qos: 1 });

it('an unknown number is found, guessed, taken with one tap, and then live', async () => {
  await send('sunsteep/kowhai/tub/temperature', '36.4');
  await send('sunsteep/kowhai/tub/air', '14.2');
  const page = await open();
  await page.getByText('Every message is heard until').waitFor();
  expect(await sentenceOn(page)).toBe('Set-up: sensors heard');
  const heard = page.locator('.heard > li');
  expect((await heard.allInnerTexts()).map(spoken)).toEqual([
    expect.stringMatching(/^Water in the tub 36.4 °C/),
  ]);
  await send('shed/board/state', '{"ds":[{"t":14.2}],"rssi":-61}');
  await page.getByText('Cooler than a tub. Perhaps: Outdoor air.').waitFor();
  await page.getByText('One other number that boards send').waitFor();
  const axe = await new AxeBuilder({ page }).withTags(['wcag2a', 'wcag2aa', 'wcag22aa']).analyze();
  expect(axe.violations).toEqual([]);

  await page.getByRole('button', { name: 'Outdoor air' }).click();
  await page.getByText('Outdoor air is taken in.').waitFor();
  expect((await house.get<{ wiring: object[] }>('/api/setup')).wiring).toEqual([
    { topic: 'shed/board/state', pointer: '/ds/0/t', tub: 'kowhai', point: 'outdoor/temperature' },
  ]);
  await send('shed/board/state', '{"ds":[{"t":14.7}],"rssi":-61}');
  await heard.filter({ hasText: 'Outdoor air' }).getByText('14.7 °C').waitFor();

  await page.getByRole('button', { name: 'Take it no longer' }).click();
  await page.getByRole('button', { name: 'Yes, take it no longer' }).click();
  await page.getByText('Outdoor air is no longer taken from there.').waitFor();
  expect((await house.get<{ wiring: object[] }>('/api/setup')).wiring).toEqual([]);
});

it('what could not be read is listed with why, and with the topic that was meant', async () => {
  const page = await open();
  await page.getByText('Why: unknown point.').waitFor();
  await page.getByText('sunsteep/kowhai/outdoor/temperature').waitFor();
});

it('a number without a guess is taken in the unit that is chosen', async () => {
  const page = await open();
  await page.getByText('Every message is heard until').waitFor();
  await send('plain/thing', '98.6');
  await page.getByText('that boards send').last().click();
  const block = page.locator('.block', { hasText: 'plain/thing' });
  await block.getByRole('button', { name: 'Something else' }).click();
  await page.getByRole('button', { name: 'Use it' }).click();
  await page.getByText('Choose what it measures.').waitFor();
  await page.getByLabel('What does it measure?').selectOption({ label: 'Back to the tub' });
  const unit = page.getByLabel('In what unit is it sent?');
  expect(await unit.locator('option').allInnerTexts()).toEqual(['°C', 'K', '°F']);
  await unit.selectOption('°F');
  await page.getByText('So it reads 37.0 °C now.').waitFor();
  await page.getByRole('button', { name: 'Use it' }).click();
  await page.getByText('Back to the tub is taken in.').waitFor();
  await send('plain/thing', '98.6');
  await page.locator('.heard').getByText('37.0 °C').waitFor();
});

it('a number in another unit is shown with it, and as what it reads', async () => {
  const page = await open();
  await page.getByText('Every message is heard until').waitFor();
  await send('porch/roof_temp_f', '140.9');
  const block = page.locator('.block', { hasText: 'porch/roof_temp_f' });
  await block.getByText('Sent as 140.9 °F.').waitFor();
  expect(spoken(await block.textContent())).toMatch(
    /60\.5 °C, \d+ s ago\. Sent as 140\.9 °F\. By its name, perhaps: Hot end of the collectors\./,
  );
  // The guess is what one begins with, where it is wrong in one thing alone.
  await block.getByRole('button', { name: 'Something else' }).click();
  expect(await page.getByLabel('In what unit is it sent?').inputValue()).toBe('degF');
  expect(await page.getByLabel('What does it measure?').inputValue()).toBe('collector/temperature');
});

it('a phone that only looks sees what is heard, and nothing to change it by', async () => {
  const page = await open('viewer');
  await page.getByText('36.4 °C').waitFor();
  await page.getByText('This phone may look, but not change the set-up.').waitFor();
  expect(await page.getByRole('button', { name: /take|use|listen/i }).count()).toBe(0);
});

it('fits a narrow phone', async () => {
  const page = await open();
  await page.setViewportSize({ width: 320, height: 700 });
  await send('a/very/long/topic/that/goes/on/and/on/without/any/place/to/break', '21.5');
  await page.getByText('Why: unknown point.').waitFor();
  const { width, inner } = await page.evaluate(() => ({
    width: document.documentElement.scrollWidth,
    inner: innerWidth,
  }));
  expect(width).toBeLessThanOrEqual(inner);
});

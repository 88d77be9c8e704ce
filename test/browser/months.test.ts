import { readFile } from 'node:fs/promises';
import type { AddressInfo } from 'node:net';
import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, inject, it, vi } from 'vitest';
import { openHouse, viewer } from '../service/serve/house.ts';
import { dayWith, evening, house, told } from './house.ts';
import { daysOf, february, monthWith, yearOfMonths } from './months.ts';
import {
  arrived,
  newPhone,
  type Phone,
  type PhoneKind,
  read,
  sentenceOn,
  startBrowser,
} from './phone.ts';
import { type Script, ScriptedService } from './scripted-service.ts';
import { before, situation } from './situation.ts';

vi.setConfig({ testTimeout: 60_000, hookTimeout: 120_000 });

let browser: Browser;
let service: ScriptedService;
let phone: Phone;

beforeAll(async () => {
  browser = await startBrowser();
});

afterEach(async () => {
  await phone.context.close();
  await service.stop();
  expect(phone.troubles).toEqual([]);
});

afterAll(async () => {
  await browser?.close();
});

async function open(changes: Partial<Script>, path = '/months', kind: PhoneKind = {}) {
  service = new ScriptedService(inject('page'), house({ months: {}, ...changes }));
  await service.start();
  phone = await newPhone(browser, { locale: 'en-GB', ...kind });
  await phone.page.goto(service.url + path);
  await arrived(phone.page);
  return phone.page;
}

const row = (name: string) => read(phone.page, `tr:has(a:text-is("${name}"))`);
const link = (name: string) => phone.page.getByRole('link', { name, exact: true });
const answer = () => phone.page.locator('svg[role=img]').getAttribute('aria-label');

describe('the last twelve months', () => {
  it('are told in a sentence, drawn as bars and listed with their days', async () => {
    const page = await open({ months: { kowhai: yearOfMonths } });
    expect(await sentenceOn(page)).toBe('This month the sun has saved you 5.3 kWh.');
    expect(await read(page, '.detail')).toBe(
      'That is NZ$1.60, and 0.5 kg of CO₂. It could be as little as 4.7 kWh or as much as 6.0.',
    );
    expect(await answer()).toBe(
      'Most was saved in October 2025, 168 kWh; least in June 2025, 62 kWh. ' +
        'So far in March 2026: 5.3 kWh.',
    );
    expect(await page.locator('rect.sun').count()).toBe(12);
    expect(await page.locator('rect.under-way').count()).toBe(1);
    expect(await page.locator('.doubt').count()).toBe(12);
    const rows = await page.locator('tbody th a').allInnerTexts();
    expect(rows).toHaveLength(12);
    expect([rows[0], rows[11]]).toEqual(['March', 'April']);
    expect(await row('September')).toBe(
      'September 28 of 30 days 180 168–192 149 135–164 141 126–156',
    );
    expect(await row('March')).toContain('1 of 31');
    expect(await read(page, '.figures')).toContain('Measured.');
    expect(await page.title()).toBe('This month the sun has saved you 5.3 kWh. Kōwhai Terrace');
  });

  it('open one by one, and its days lead to Today', async () => {
    const page = await open({
      months: { kowhai: yearOfMonths },
      days: { '2026-03-01': dayWith(), ...february(2026, 6.2, 5) },
    });
    await link('February').click();
    await page.getByText('In February 2026 the sun saved you').waitFor();
    await page.locator('th', { hasText: '28' }).waitFor();
    expect(new URL(page.url()).pathname).toBe('/months/2026-02');
    expect(await page.locator('tbody tr').count()).toBe(28);
    expect(await row('Mon 9')).toBe('Mon 9 not heard');
    expect(await row('Tue 10')).toBe('Tue 10 6.2 5.8–6.6 5.4 4.4–6.4 5.0 4.0–6.0');
    await link('The month after').click();
    await link('Sun 1').click();
    await page.getByText('The sun is heating your tub.').waitFor();
    expect(new URL(page.url()).pathname).toBe('/');
    await page.goBack();
    await page.goBack();
    await link('Tue 10').click();
    await page.getByText('on Tuesday 10 February').waitFor();
    expect(new URL(page.url()).pathname).toBe('/day/2026-02-10');
  });

  it('begin with the first that was heard; one between them that was not is told', async () => {
    const months = [monthWith('2025-12', 100), monthWith('2026-02', 120), monthWith('2026-03', 5)];
    const page = await open({ months: { kowhai: months } });
    await page.locator('tbody').waitFor();
    expect(await page.locator('tbody tr').count()).toBe(4);
    expect(await row('January')).toBe('January not heard');
    expect(await answer()).toContain('Not known: January 2026.');
  });
});

it('the widest figures stay within the page’s margins on a phone', async () => {
  const wide = { savedUncertaintyKwh: 48, usefulUncertaintyKwh: 48, uncertaintyKwh: 48 };
  const months = ['2026-01', '2026-02', '2026-03'].map((name) => monthWith(name, 211, wide));
  const page = await open({ months: { kowhai: months } });
  await page.locator('tbody').waitFor();
  for (const width of [320, 360, 390, 430]) {
    await page.setViewportSize({ width, height: 844 });
    const [table, section] = await page.evaluate(() =>
      ['table', '.figures'].map((name) => document.querySelector(name)!.getBoundingClientRect()),
    );
    expect(table!.right, `${width} px`).toBeLessThanOrEqual(section!.right + 0.5);
  }
});

describe('beside the same month a year before', () => {
  const sensors = (mean: number) => ({
    'collector/irradiance': Array(28).fill({ mean: 200, count: 96 }),
    'outdoor/temperature': Array(28).fill({ mean, count: 96 }),
  });

  it('a month is told with what made the difference', async () => {
    const page = await open(
      {
        months: { kowhai: yearOfMonths },
        days: {
          ...february(2026, 6.2, 5, { sunKwhPerM2: 5 }),
          ...february(2025, 5, 4.1, { sunKwhPerM2: 4 }),
        },
        means: { '2026-02': sensors(14), '2025-02': sensors(14) },
      },
      '/months/2026-02',
    );
    await page
      .getByText('24 kWh more than in February 2025: the collectors had 25 % more sun.')
      .waitFor();
  });

  it('warmth outdoors is told where it left the tub less to need', async () => {
    const page = await open(
      {
        months: { kowhai: yearOfMonths },
        days: { ...february(2026, 6, 3.6), ...february(2025, 6, 5) },
        means: { '2026-02': sensors(17), '2025-02': sensors(14) },
      },
      '/months/2026-02',
    );
    await page
      .getByText('38 kWh less than in February 2025: it was 3 degrees warmer outdoors')
      .waitFor();
  });

  it('of a month under way the days that are over are held against the same days', async () => {
    await open({
      now: { kowhai: told(situation({ at: '2026-03-10T22:00:00.000Z' })) },
      months: { kowhai: yearOfMonths },
      days: { ...daysOf('2026-03', 11, 6, 5), ...daysOf('2025-03', 31, 4, 3.2) },
      log: {
        kowhai: [{ id: 'a', kind: 'bathing', from: '2026-03-03T07:00:00Z' }],
      },
    });
    // Nine days of ten, each with 1.8 kWh more.
    await phone.page
      .getByText('16 kWh more than in the same days of March 2025: 50 % more heat came.')
      .waitFor();
  });

  it('nothing is told where there was no such month', async () => {
    const page = await open({ months: { kowhai: yearOfMonths } }, '/months/2026-02');
    const asked = `GET /api/tubs/kowhai/days?from=2025-02-01&to=2025-03-01`;
    await expect.poll(() => service.requests).toContain(asked);
    await page.locator('.figures').waitFor();
    expect(await read(page, 'main')).not.toContain('February 2025');
  });
});

describe('what is not known is told as that', () => {
  const only = (changes: Parameters<typeof monthWith>[2]) => ({
    kowhai: [monthWith('2026-03', 131, changes)],
  });

  it('no month yet', async () => {
    const page = await open({ months: { kowhai: [] } });
    expect(await sentenceOn(page)).toBe('There is no month to tell of yet.');
  });

  it('no place, and so no calendar', async () => {
    const page = await open({
      now: { kowhai: told(situation({ figures: { timeZone: null, missing: ['place'] } })) },
    });
    expect(await sentenceOn(page)).toBe('Months begin at the tub’s own midnight.');
    await link('Go to Today').click();
  });

  it('no backup, so that nothing is saved: the heat is drawn', async () => {
    const nothing = { savedKwh: null, usefulKwh: null, savedMoney: null, savedCo2Kg: null };
    const page = await open(
      {
        months: only({ ...nothing, gainKwh: 158 }),
        evenings: { kowhai: { ...evening, backup: null, why: 'no-backup' } },
      },
      '/',
    );
    await page.getByText(/^Tonight at/).waitFor();
    await link('Months').click();
    await page.getByText('This month the sun has put in 158 kWh.').waitFor();
    expect(await read(page, '.detail')).toContain('there is no backup that would have given it');
    expect(await read(page, '.month-bars h2')).toBe('How much did the sun put in?');
    expect(await row('March')).toContain('not known not known');
  });

  it('figures that are being worked out again', async () => {
    const page = await open({
      now: { kowhai: told(situation({ figures: { workingOut: true } })) },
      months: only({}),
    });
    expect(await read(page, 'main')).toContain('their figures may still move');
  });

  it('a bad month stands below the line, without money where there is no price', async () => {
    const bad = { savedKwh: -2.1, savedUncertaintyKwh: 0.9, savedMoney: null, savedCo2Kg: null };
    const page = await open({ months: only({ ...bad, basis: 'estimated' }) });
    expect(await sentenceOn(page)).toBe(
      'This month the loop has cost you about 2.1 kWh more than it saved.',
    );
    expect(await read(page, '.detail')).toContain('not known before a price is in the set-up');
    expect(await page.locator('rect.below').count()).toBe(1);
    expect(await read(page, '.figures')).toContain('Estimated: a flow sensor');
    expect(await row('March')).toContain('−2.1 −3.9 to −0.3');
  });

  it('a month to come, and one in which nothing was heard', async () => {
    const page = await open({ months: { kowhai: yearOfMonths } }, '/months/2026-04');
    expect(await sentenceOn(page)).toBe('April 2026 has not come yet.');
    await page.goto(`${service.url}/months/2024-04`);
    await page.getByText('Nothing was heard in April 2024.').waitFor();
    await link('All months').click();
    await page.getByText('This month the sun has saved').waitFor();
  });

  it('a service that does not tell the months', async () => {
    const page = await open({ months: {} });
    await page.getByText('The months cannot be had just now.').waitFor();
  });
});

describe('a lost connection', () => {
  it('leaves what was known, with its age, and is mended without a reload', async () => {
    const page = await open({ months: { kowhai: yearOfMonths } });
    await service.watched('kowhai');
    await service.stop();
    await page.locator('.months .lost').waitFor();
    expect(await read(page, '.months .lost')).toMatch(/^What stands here is from .* s\.$/);
    expect(await sentenceOn(page)).toBe('This month the sun has saved you 5.3 kWh.');
    service.script.months.kowhai = [monthWith('2026-03', 9.9)];
    await service.start();
    await page.getByText('This month the sun has saved you 9.9 kWh.').waitFor();
    expect(await page.locator('.months .lost').count()).toBe(0);
  });

  it('shows the month as it has become once a day of it has changed while the page was away', async () => {
    const page = await open({ months: { kowhai: yearOfMonths } });
    service.script.months.kowhai = [monthWith('2026-03', 7.7)];
    await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
    await page.getByText('This month the sun has saved you 7.7 kWh.').waitFor();
  });
});

describe('what can be taken along', () => {
  it('is a file of figures, made on the phone', async () => {
    const page = await open({ months: { kowhai: yearOfMonths } });
    await page.locator('tbody').waitFor();
    const saved = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Figures as CSV' }).click();
    const download = await saved;
    expect(download.suggestedFilename()).toBe('kowhai-months.csv');
    const lines = (await readFile(await download.path(), 'utf8')).trimEnd().split('\r\n');
    expect(lines).toHaveLength(13);
    expect(lines[0]).toMatch(/^month,gainKwh,/);
    expect(lines[12]).toMatch(/^2026-03,6\.183,/);
  });

  it('is the sheet of that month, in the person’s own units', async () => {
    const page = await open({ months: { kowhai: yearOfMonths } }, '/months/2026-02', {
      locale: 'en-US',
    });
    await link('Sheet to print').waitFor();
    expect(await link('Sheet to print').getAttribute('href')).toBe(
      '/api/tubs/kowhai/months/2026-02/sheet?language=en-US&temperature=F&hours=12',
    );
    expect(await sentenceOn(page)).toBe('In February 2026 the sun saved you 131 kWh.');
  });
});

it('asks the service itself for nothing that it would refuse', async () => {
  const real = await openHouse({ webFolder: inject('page') });
  real.watching.months = async (_, from = '', to = '') =>
    yearOfMonths.filter(({ month }) => from <= month && month <= to);
  const days = Object.values({ ...february(2026, 6, 5), ...february(2025, 4, 3.2) });
  real.watching.days = async (_, from = '', to = '') =>
    days.filter(({ date }) => from <= date && date <= to);
  await real.app.listen({ host: '127.0.0.1', port: 0 });
  service = new ScriptedService(inject('page'), house());
  phone = await newPhone(browser, { locale: 'en-GB' });
  const { page } = phone;
  try {
    const url = `http://127.0.0.1:${(real.app.server.address() as AddressInfo).port}`;
    const [name, value] = (await real.pair(viewer)).cookie.split('=') as [string, string];
    await phone.context.addCookies([{ name, value, url }]);
    await page.goto(`${url}/tubs/kowhai/months/2026-02`);
    await page.getByText('49 kWh more than in February 2025: 50 % more heat came.').waitFor();
    const sheet = page.waitForEvent('popup');
    await page.getByRole('link', { name: 'Sheet to print' }).click();
    const paper = await sheet;
    await paper.getByRole('heading', { name: 'The month in figures' }).waitFor();
    await paper.getByRole('link', { name: 'Back to the month' }).click();
    await paper.getByText('In February 2026 the sun saved you').waitFor();
    const refused = real.logged.filter((line) => /"status":[45]\d\d/.test(line));
    expect(refused.filter((line) => !line.includes('"route":"/api/telling'))).toEqual([]);
  } finally {
    await page.close();
    await real.close();
  }
});

it('with the keyboard alone a month is opened and left again', async () => {
  const page = await open({ months: { kowhai: yearOfMonths } });
  await page.locator('tbody').waitFor();
  await page.keyboard.press('Tab');
  await expect
    .poll(async () => {
      await page.keyboard.press('Tab');
      return page.evaluate(() => document.activeElement?.textContent);
    })
    .toBe('February');
  await page.keyboard.press('Enter');
  await page.getByText('In February 2026 the sun saved you').waitFor();
  await expect.poll(() => page.evaluate(() => document.activeElement?.tagName)).toBe('H1');
});

it('says since when nothing was heard, and keeps the months', async () => {
  await open({
    months: { kowhai: yearOfMonths },
    now: { kowhai: told(situation({ figures: { heardAt: before(7200) } })) },
  });
  expect(await read(phone.page, '.status')).toBe('heard 2 h ago');
  expect(await sentenceOn(phone.page)).toBe('This month the sun has saved you 5.3 kWh.');
});

import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, inject, it, vi } from 'vitest';
import { dayWith, house, told } from './house.ts';
import { arrived, newPhone, type Phone, read, sentenceOn, startBrowser } from './phone.ts';
import { type Script, ScriptedService } from './scripted-service.ts';
import { before, day, present, situation, value } from './situation.ts';

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

/** The page's clock stands where a test puts it, and moves when a test says so. */
async function open(script: Script, path = '/', clockAt: string | null = null) {
  service = new ScriptedService(inject('page'), script);
  await service.start();
  phone = await newPhone(browser, { locale: 'en-GB' });
  if (clockAt !== null) await phone.page.clock.install({ time: clockAt });
  await phone.page.goto(service.url + path);
  await arrived(phone.page);
  return phone.page;
}

/** Time goes by, for the service and for the phone. */
async function pass(ms: number): Promise<void> {
  service.at = new Date(Date.parse(service.at ?? present) + ms).toISOString();
  await phone.page.clock.fastForward(ms);
}

/** Resolves once the page has shown what only the socket told. */
async function live(): Promise<void> {
  await service.watched('kowhai');
  const now = service.script.now.kowhai!;
  service.tell('kowhai', { ...now, figures: { ...now.figures, workingOut: true } });
  await phone.page.getByText('Past days are being worked out again just now').waitFor();
}

const resting = (at = present) =>
  told(
    situation({
      at,
      powerW: 0,
      values: {
        'tub/temperature': value(36.1, (Date.parse(present) - Date.parse(at)) / 1000 + 8),
      },
      figures: { pumpOn: false, collectorC: 24, tubC: 36.1, heardAt: before(8, at) },
    }),
  );

describe('while the line holds', () => {
  it('news is shown as it comes', async () => {
    const page = await open(house());
    await live();
    service.tell('kowhai', resting());
    await page.getByText('Waiting for sun.').waitFor();
    expect(await read(page, '.facts')).toContain('36.1 °C');
  });

  it('another tub’s news changes nothing', async () => {
    const page = await open(house());
    await live();
    await page.evaluate(() => {
      const seen = new MutationObserver(() => {
        if (document.body.textContent.includes('Waiting for sun')) document.title = 'changed';
      });
      seen.observe(document.body, { subtree: true, childList: true, characterData: true });
    });
    service.tellWrongly('kowhai', 'rata', resting());
    service.tell('kowhai', told(situation({ powerW: 900 })));
    // One socket keeps the order: when this has been heard, so has what came before.
    await page.getByText('900 W is going in.').waitFor();
    expect(await page.title()).not.toBe('changed');
  });

  it('ages move by themselves', async () => {
    const page = await open(house(), '/', present);
    await live();
    await pass(40_000);
    await page.getByText(/^heard\s4\d\ss\sago$/).waitFor();
    await pass(80_000);
    await page.getByText(/^heard\s2\smin\sago$/).waitFor();
    expect(await read(page, '.facts')).toContain('measured 2 min ago');
  });

  it('a tub that falls silent is told as silent, without any news', async () => {
    const page = await open(house(), '/', present);
    await live();
    await pass(320_000);
    await page.getByText('Nothing heard since 14:29.').waitFor();
  });

  it('a day that has changed is fetched again, but not with every reading', async () => {
    const page = await open(house(), '/', present);
    await page.locator('canvas[data-drawn]').waitFor();
    await live();
    const fetched = () => service.requests.filter((path) => path.includes('/days/')).length;
    const first = fetched();
    for (let n = 0; n < 5; n++) service.tellDay('kowhai', { ...day, gainKwh: 6.3 + n / 10 });
    service.tell('kowhai', told(situation({ powerW: 800 })));
    await page.getByText('800 W is going in.').waitFor();
    expect(fetched()).toBe(first);
    const answer = page.waitForResponse(/\/days\/2026-03-01$/);
    await pass(61_000);
    await answer;
    expect(fetched()).toBe(first + 1);
  });
});

describe('when the line drops', () => {
  it('the header says since when, the numbers keep their age, and all comes back by itself', async () => {
    const page = await open(house());
    await page.locator('canvas[data-drawn]').waitFor();
    await live();
    await service.stop();
    await page.getByText(/^not live since 14:3\d$/).waitFor();
    expect(await sentenceOn(page)).toBe('The sun is heating your tub.');
    expect(await read(page, '.facts')).toMatch(/36\.4 °C .* measured \d+ s ago/);

    service.script.now.kowhai = resting();
    service.script.days['2026-03-01'] = dayWith({ gap: [40, 43] });
    service.requests.length = 0;
    await service.start();
    await page.getByText('Waiting for sun.').waitFor();
    await page.getByText(/^heard\s\d+\ss\sago$/).waitFor();
    await page.locator('canvas[aria-label*="10:00 to 11:00"]').waitFor({ state: 'attached' });
    expect(service.requests).toContain('GET /api/tubs/kowhai/now');

    await live();
    service.tell('kowhai', told(situation({ powerW: 700 })));
    await page.getByText('700 W is going in.').waitFor();
  });

  it('for longer, what was so then is no longer said as what is so', async () => {
    const page = await open(house(), '/', present);
    await live();
    await service.stop();
    await page.getByText(/^not live since 14:30$/).waitFor();
    await pass(150_000);
    await page.getByText('No word from Sunsteep since 14:30.').waitFor();
    await service.start();
    await pass(10_000);
    await page.getByText('The sun is heating your tub.').waitFor();
  });

  it('a danger stays said', async () => {
    const hot = situation({
      values: { 'tub/temperature': value(42.3, 8) },
      figures: { tubC: 42.3 },
    });
    const page = await open(house({ now: { kowhai: told(hot) } }), '/', present);
    await live();
    await service.stop();
    await page.getByText(/^not live since/).waitFor();
    await pass(180_000);
    await page.getByText(/\(3\smin ago\)/).waitFor();
    expect(await sentenceOn(page)).toMatch(
      /^Do not get in\. The water is at 42\.3 °C \(3 min ago\)/,
    );
  });

  it('a service that is not there at first is waited for', async () => {
    service = new ScriptedService(inject('page'), house());
    await service.start();
    phone = await newPhone(browser, { locale: 'en-GB' });
    const { page } = phone;
    await page.route('**/api/**', (route) => route.abort());
    await page.goto(service.url);
    await page.getByText('Sunsteep does not answer.').waitFor();
    await page.unroute('**/api/**');
    await page.getByText('The sun is heating your tub.').waitFor();
  });

  it('where sockets do not pass, requests alone keep the page fresh', async () => {
    service = new ScriptedService(inject('page'), house());
    service.socketsPass = false;
    await service.start();
    phone = await newPhone(browser, { locale: 'en-GB' });
    const { page } = phone;
    await page.goto(service.url);
    await page.getByText('The sun is heating your tub.').waitFor();
    service.script.now.kowhai = resting();
    await page.getByText('Waiting for sun.').waitFor();
    expect(await read(page, '.head')).toMatch(/heard \d+ s ago$/);
  });
});

describe('a phone that is shut out', () => {
  it('shows nothing of the owner’s any more', async () => {
    const page = await open(house());
    await live();
    service.shutOut();
    await page.getByText('This phone is not paired yet.').waitFor();
    expect(await read(page, '#page')).not.toMatch(/Kōwhai|kWh|36\.4/);
  });
});

describe('midnight', () => {
  it('begins another day', async () => {
    const at = '2026-03-01T10:59:30.000Z';
    const late = told(
      situation({
        at,
        powerW: 0,
        values: { 'tub/temperature': value(37.1, -34_170 + 20) },
        figures: { pumpOn: false, tubC: 37.1, heardAt: before(8, at) },
      }),
    );
    const script = house({ now: { kowhai: late } });
    const next = { from: '2026-03-01T11:00:00Z', until: '2026-03-01T11:00:00Z' };
    script.days['2026-03-02'] = { ...dayWith({ date: '2026-03-02', ...next }), gainKwh: null };
    const page = await open(script, '/', at);
    service.at = at;
    await live();
    expect(await sentenceOn(page)).toBe('The sun put in 6.2 kWh today.');
    const answer = page.waitForResponse(/\/days\/2026-03-02$/);
    await pass(40_000);
    await answer;
    expect(await read(page, '.facts')).not.toContain('6.2');
    await page.getByRole('link', { name: 'Yesterday' }).click();
    await page.getByText('yesterday.').waitFor();
    expect(new URL(page.url()).pathname).toBe('/day/2026-03-01');
  });
});

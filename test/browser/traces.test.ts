import { readFile } from 'node:fs/promises';
import type { Browser, CDPSession, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, inject, it, vi } from 'vitest';
import type { House } from '../service/serve/house.ts';
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
import { DAY, HOUR, present, silence, today, tracesHouse } from './traces-house.ts';

vi.setConfig({ testTimeout: 60_000, hookTimeout: 120_000 });

let browser: Browser;
let house: House & { url: string };
let phone: Phone;
/** Questions to the API about readings, in order. */
let asked: URL[];

beforeAll(async () => {
  browser = await startBrowser();
  house = await tracesHouse(inject('page'));
});

afterEach(async () => {
  await phone.context.close();
  expect(phone.troubles).toEqual([]);
});

afterAll(async () => {
  await browser?.close();
  await house?.close();
});

async function open(
  path = '/traces',
  kind: PhoneKind = {},
  before: (page: Page) => Promise<void> = async () => {},
): Promise<Page> {
  const { cookie } = await house.pair({ right: 'viewer' });
  phone = await newPhone(browser, { locale: 'en-GB', ...kind });
  const [name, value] = cookie.split(/=(.*)/s);
  await phone.context.addCookies([{ name: name!, value: value!, url: house.url }]);
  asked = [];
  phone.page.on('request', (request) => {
    const url = new URL(request.url());
    if (url.pathname.endsWith('/readings')) asked.push(url);
  });
  await before(phone.page);
  await phone.page.goto(house.url + path);
  await arrived(phone.page);
  return phone.page;
}

const drawn = (page: Page) => page.locator('canvas[data-drawn]').waitFor();
const query = (page: Page) => new URLSearchParams(new URL(page.url()).search);
const answer = async (page: Page) =>
  spoken(await page.locator('canvas').getAttribute('aria-label'));
const slider = (page: Page) => page.getByRole('slider');
const link = (page: Page, name: string) => page.getByRole('link', { name, exact: true });

/** Fingers on the chart, at shares of its width. */
async function fingers(page: Page) {
  const cdp: CDPSession = await phone.context.newCDPSession(page);
  const box = (await slider(page).boundingBox())!;
  const at = (shares: number[]) =>
    shares.map((share, id) => ({ id, x: box.x + share * box.width, y: box.y + box.height / 2 }));
  const send = (type: 'touchStart' | 'touchMove' | 'touchEnd', shares: number[]) =>
    cdp.send('Input.dispatchTouchEvent', { type, touchPoints: at(shares) });
  return {
    down: (shares: number[]) => send('touchStart', shares),
    move: (shares: number[]) => send('touchMove', shares),
    up: () => send('touchEnd', []),
  };
}

describe('what is said', () => {
  it('begins with what went wrong and what was not heard', async () => {
    const page = await open();
    expect(await sentenceOn(page)).toBe(
      'From 14:15 on: the pump stands still though the sun is out.',
    );
    expect(await read(page, '.detail')).toBe(
      'Sunday 1 March. Nothing was heard between 10:00 and 10:50.',
    );
    await drawn(page);
    expect(await answer(page)).toMatch(
      /^Water in the tub: lowest 34\.5 °C, .*; highest 37\.5 °C, .* Nothing was heard between 10:00 and 10:50\.$/,
    );
    expect(await page.title()).toMatch(/^From 14:15 on: .* Kōwhai Terrace$/);
  });

  it('is the lowest and the highest on a day without faults', async () => {
    const page = await open('/traces?to=2026-02-27');
    expect(await sentenceOn(page)).toBe('Water in the tub: between 34.5 °C and 37.5 °C.');
    expect(await read(page, '.detail')).toMatch(
      /^Friday 27 February\. Lowest 0\d:\d\d, highest 1\d:\d\d\.$/,
    );
  });

  it('is that nothing was heard where that is so, and stays an address', async () => {
    const page = await open('/traces?to=2020-01-01');
    expect(await sentenceOn(page)).toBe('Nothing was heard of these lines.');
    await link(page, 'Later').click();
    await expect.poll(() => query(page).get('to')).toBe('2020-01-02');
  });
});

describe('a year in one move', () => {
  it('of two fingers asks nothing until they let go, then once, for at most 400 spans a line', async () => {
    const page = await open('/traces?points=tub/temperature,collector/temperature', {
      touch: true,
    });
    await drawn(page);
    await page.getByText('Nothing was heard between').waitFor();
    const before = asked.length;
    expect(before).toBe(1);
    const hand = await fingers(page);
    await hand.down([0.05]);
    await hand.down([0.05, 0.9]);
    const frames = 90;
    for (let n = 1; n <= frames; n++) {
      const apart = 0.85 - (0.83 * n) / frames;
      await hand.move([0.475 - apart / 2, 0.475 + apart / 2]);
    }
    const labelled = await page.locator('.hands').getAttribute('aria-valuemin');
    expect(Number(labelled)).toBeLessThan(today - 5 * DAY);
    expect(asked.length).toBe(before);
    expect(query(page).get('from')).toBeNull();
    await hand.up();
    await expect.poll(() => asked.length).toBe(before + 1);
    const from = Date.parse(query(page).get('from')!);
    const to = Date.parse(query(page).get('to')!);
    expect(to - from).toBeGreaterThan(20 * DAY);
    const last = asked.at(-1)!.searchParams;
    expect(Number(last.get('buckets'))).toBeLessThanOrEqual(400);
    expect(Date.parse(last.get('from')!)).toBeLessThanOrEqual(from);
  });

  it('of a mouse and its wheel asks as little, and shifts what it holds', async () => {
    const page = await open('/traces?span=year&points=tub/temperature,collector/temperature');
    await drawn(page);
    const before = asked.length;
    const box = (await slider(page).boundingBox())!;
    await page.mouse.move(box.x + 300, box.y + 80);
    await page.mouse.down();
    for (let x = 300; x >= 40; x -= 4) await page.mouse.move(box.x + x, box.y + 80);
    expect(asked.length).toBe(before);
    await page.mouse.up();
    await expect.poll(() => asked.length).toBe(before + 1);
    const shifted = Date.parse(query(page).get('from')!) - (present - 366 * DAY);
    expect(shifted).toBeGreaterThan(200 * DAY);
    await slider(page).evaluate((target) => {
      const { left, top } = target.getBoundingClientRect();
      const place = { clientX: left + 150, clientY: top + 80, bubbles: true, cancelable: true };
      for (let n = 0; n < 30; n++) {
        target.dispatchEvent(new WheelEvent('wheel', { ...place, deltaY: -30, ctrlKey: true }));
      }
    });
    await expect.poll(() => asked.length).toBe(before + 2);
    const view = query(page);
    expect(Date.parse(view.get('to')!) - Date.parse(view.get('from')!)).toBeLessThan(20 * DAY);
  });

  it('holds no more than 400 points a line, as the service sums them up', async () => {
    const page = await open();
    for (const span of ['Day', '3 days', 'Week', 'Month', 'Year']) {
      const told = page.waitForResponse((response) => response.url().includes('/readings?'));
      if (span !== 'Day') await link(page, span).click();
      else await page.reload();
      const body = (await (await told).json()) as {
        points: Record<string, { buckets: unknown[] }>;
      };
      const counts = Object.values(body.points).map(({ buckets }) => buckets.length);
      expect(counts.length, span).toBe(4);
      expect(Math.max(...counts), span).toBeLessThanOrEqual(400);
      expect(Math.min(...counts), span).toBeGreaterThan(60);
    }
  });

  it('gives up what was asked before when something else is looked at', async () => {
    const page = await open();
    await drawn(page);
    const held: (() => void)[] = [];
    await page.route('**/readings?**', async (route) => {
      await new Promise<void>((resolve) => held.push(resolve));
      await route.continue().catch(() => {});
    });
    const ended: string[] = [];
    page.on('requestfailed', (request) => ended.push(request.url()));
    await link(page, 'Week').click();
    await expect.poll(() => held.length).toBe(1);
    await link(page, 'Month').click();
    await expect.poll(() => held.length).toBe(2);
    await expect.poll(() => ended.filter((url) => url.includes('/readings?')).length).toBe(1);
    for (const go of held) go();
    await page.getByText('Friday 30 January to Sunday 1 March.').waitFor();
    expect(query(page).get('span')).toBe('month');
  });
});

describe('the address', () => {
  it('holds the view: a link to it can be sent, and back and forward go through views', async () => {
    const page = await open();
    await drawn(page);
    await link(page, 'Week').click();
    await page.getByText('Monday 23 February to Sunday 1 March.').waitFor();
    await link(page, 'Earlier').click();
    await page.getByText('Monday 16 February to Sunday 22 February.').waitFor();
    expect(query(page).get('to')).toBe('2026-02-22');
    const address = page.url();
    await page.goBack();
    await page.getByText('Monday 23 February to Sunday 1 March.').waitFor();
    await page.goBack();
    await page.getByText('From 14:15 on').waitFor();
    await page.goForward();
    await page.goForward();
    await page.getByText('Monday 16 February to Sunday 22 February.').waitFor();
    await link(page, 'Today').click();
    await page.getByText('The sun is heating your tub.').waitFor();
    expect(new URL(page.url()).search).toBe('');
    await page.goto(address);
    await page.getByText('Monday 16 February to Sunday 22 February.').waitFor();
    expect(page.url()).toBe(address);
  });

  it('takes two dates, and refuses what is out of order in words', async () => {
    const page = await open();
    await page.getByRole('button', { name: 'Dates…' }).click();
    await page.getByLabel('From').fill('2026-02-20');
    await page.getByLabel('To', { exact: true }).fill('2026-02-10');
    await page.getByRole('button', { name: 'Show these dates' }).click();
    expect(await read(page, '.wrong')).toBe('Choose two dates in order, two years apart at most.');
    await page.getByLabel('To', { exact: true }).fill('2026-02-21');
    await page.getByRole('button', { name: 'Show these dates' }).click();
    await page.getByText('Friday 20 February to Saturday 21 February.').waitFor();
    expect(new URL(page.url()).search).toBe('?from=2026-02-20&to=2026-02-21');
  });

  it('zooms by buttons, and names the lines that were chosen', async () => {
    const page = await open('/traces?to=2026-02-27');
    await drawn(page);
    await link(page, 'Closer').click();
    await page.getByText('Friday 27 February, 06:00 to 18:00.').waitFor();
    await link(page, 'Wider').click();
    await page.getByText('Friday 27 February.').waitFor();
    await page.getByRole('button', { name: 'Which lines…' }).click();
    const groups = await page.locator('fieldset.points legend').allInnerTexts();
    expect(groups).toEqual(['Tub', 'Collectors', 'Pump', 'Others']);
    await page.getByRole('checkbox', { name: 'Collector 2' }).check();
    await page.getByRole('checkbox', { name: 'Back to the tub' }).uncheck();
    await expect
      .poll(() => query(page).get('points'))
      .toBe('tub/temperature,collector/temperature,collector/2/temperature,pump/running');
    await page.locator('.legend').getByText('Collector 2').waitFor();
    expect(await read(page, '.legend')).not.toContain('Back to the tub');
  });

  it('keeps the last line: a chart without any would answer nothing', async () => {
    const page = await open('/traces?points=tub/temperature');
    await page.getByRole('button', { name: 'Which lines…' }).click();
    expect(await page.getByRole('checkbox', { name: 'Water in the tub' }).isDisabled()).toBe(true);
  });
});

describe('values', () => {
  it('are read under a finger, which leaves the page’s scrolling alone', async () => {
    const page = await open('/traces?to=2026-02-27', { touch: true });
    await drawn(page);
    const hand = await fingers(page);
    await hand.down([0.4]);
    await page.locator('.readings').waitFor();
    const first = await read(page, '.readings h2');
    expect(first).toMatch(/^At (09|10|11):\d\d$/);
    expect(await read(page, '.readings dl')).toMatch(
      /^Water in the tub 3\d\.\d °C Hot end of the collectors \d\d\.\d °C/,
    );
    await hand.move([0.5]);
    await expect.poll(() => read(page, '.readings h2')).not.toBe(first);
    await hand.up();
    expect(asked).toHaveLength(1);
    const touching = await slider(page).evaluate((node) => getComputedStyle(node).touchAction);
    expect(touching).toBe('pan-y');
  });

  it('are read by the arrow keys, heard as a sentence, and zoomed by plus and minus', async () => {
    const page = await open('/traces?to=2026-02-27&points=tub/temperature,pump/running');
    await drawn(page);
    await slider(page).focus();
    await page.keyboard.press('Home');
    expect(await slider(page).getAttribute('aria-valuetext')).toMatch(
      /^At 00:00: Water in the tub 3\d\.\d °C; Pump off$/,
    );
    await page.keyboard.press('ArrowRight');
    expect(await read(page, '.readings h2')).toBe('At 00:05');
    await page.keyboard.press('Shift+ArrowRight');
    expect(await read(page, '.readings h2')).toBe('At 00:55');
    await page.keyboard.press('+');
    await expect.poll(() => query(page).get('from')).not.toBeNull();
    const length = () => Date.parse(query(page).get('to')!) - Date.parse(query(page).get('from')!);
    expect(length()).toBe(12 * HOUR);
    await page.keyboard.press('-');
    await expect.poll(length).toBe(24 * HOUR);
    await page.keyboard.press('Escape');
    await page.getByText('Touch the chart to read it').waitFor();
    expect(await page.evaluate(() => document.activeElement?.className)).toBe('hands');
  });

  it('are told as not heard within a gap, and the line is open there', async () => {
    const page = await open('/traces?points=tub/temperature');
    await drawn(page);
    await slider(page).focus();
    await page.keyboard.press('Home');
    for (let n = 0; n < 12; n++) await page.keyboard.press('Shift+ArrowRight');
    for (let n = 0; n < 4; n++) await page.keyboard.press('ArrowRight');
    expect(await read(page, '.readings')).toBe('At 10:20 Water in the tub not heard');
    // A column of pixels in the middle of the silence has none of the water's colour; one beside it has.
    const water = (t: number) =>
      page.locator('canvas').evaluate(
        (canvas: HTMLCanvasElement, share) => {
          const context = canvas.getContext('2d')!;
          const axis = canvas.width - context.measureText('37.0°').width * devicePixelRatio;
          const { data } = context.getImageData(Math.round(axis * share), 0, 1, canvas.height);
          const hex = getComputedStyle(canvas).getPropertyValue('--water').trim();
          const wanted = Number.parseInt(hex.slice(1), 16);
          let count = 0;
          for (let i = 0; i < data.length; i += 4) {
            if (((data[i]! << 16) | (data[i + 1]! << 8) | data[i + 2]!) === wanted) count++;
          }
          return count;
        },
        (t - today) / DAY,
      );
    await page.keyboard.press('Escape');
    const middle = (silence.from + silence.to) / 2;
    await expect.poll(() => water(middle - 2 * HOUR)).toBeGreaterThan(1);
    expect(await water(middle)).toBe(0);
    expect(await water(middle + 2 * HOUR)).toBeGreaterThan(1);
  });

  it('stand in a table one tap away', async () => {
    const page = await open('/traces?to=2026-02-27&points=tub/temperature,pump/power');
    await drawn(page);
    await page.getByText('The same as a table').click();
    await page.locator('tbody').first().waitFor();
    expect((await page.locator('caption').allInnerTexts()).map(spoken)).toEqual([
      'Water in the tub, °C',
      'Power of the pump, W',
    ]);
    expect(await page.locator('tbody').first().locator('tr').count()).toBe(24);
    expect(await read(page, 'tbody tr:first-child')).toMatch(
      /^00:00 3\d\.\d 3\d\.\d 3\d\.\d 00:00 0 0 0$/,
    );
  });

  it('can be had as CSV: the readings of these lines and this span, as they came', async () => {
    const page = await open('/traces?to=2026-02-27&points=tub/temperature,pump/power');
    await drawn(page);
    const [file] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: 'As CSV: 2,880 readings' }).click(),
    ]);
    expect(file.suggestedFilename()).toBe('kowhai-readings-2026-02-27-to-2026-02-27.csv');
    const lines = (await readFile(await file.path(), 'utf8')).split('\r\n');
    expect(lines[0]).toBe('time,tub,point,value');
    expect(lines).toHaveLength(1 + 2880 + 1);
    expect(lines[1]).toMatch(
      /^2026-02-26T11:00:00\.000Z,kowhai,(tub\/temperature|pump\/power),[\d.]+$/,
    );
  });
});

describe('what is marked', () => {
  it('is numbered, told below the chart, and an alert’s number leads to it', async () => {
    const page = await open();
    await drawn(page);
    await page.getByText('Marked: 1 alert and 1 entry of the log').click();
    expect(await read(page, '.marks')).toBe(
      '1 Filter cleaned: 09:30. 2 The pump stands still though the sun is out. Since 14:15.',
    );
    await page.locator('.marks a').click();
    await page
      .getByRole('heading', { name: 'The pump stands still though the sun is out.' })
      .waitFor();
  });
});

describe('an opened alert', () => {
  it('shows what its sensors told around its start, in words too, and leads to more of it', async () => {
    const page = await open('/alerts/pump-not-running-20260301t013000z');
    await drawn(page);
    expect(await answer(page)).toMatch(
      /^Water in the tub: lowest .*Hot end of the collectors: lowest .*Pump: on all along\. Power of the pump: 13 W all along\./,
    );
    const [question] = asked;
    const start = Date.parse('2026-03-01T01:15:00Z');
    expect(Date.parse(question!.searchParams.get('from')!)).toBe(start - 2 * HOUR);
    expect(Date.parse(question!.searchParams.get('to')!)).toBeGreaterThanOrEqual(present);
    expect(question!.searchParams.get('points')!.split(',').length).toBeLessThanOrEqual(5);
    expect(Number(question!.searchParams.get('buckets'))).toBeLessThanOrEqual(400);
    await link(page, 'More of these lines').click();
    await page.getByText('From 14:15 on').waitFor();
    expect(query(page).get('points')).toBe(question!.searchParams.get('points'));
    expect(Date.parse(query(page).get('from')!)).toBe(start - 2 * HOUR);
  });
});

it('grows with the present: asked again with a new bucket, not with each second', async () => {
  const { watching } = house;
  const { now } = watching;
  const at = new Date(present + 45_000).toISOString();
  watching.now = async (tub) => ({ ...(await now(tub))!, at });
  const lastHour = '/traces?from=2026-03-01T01:10:00Z&to=2026-03-01T02:10:00Z';
  const page = await open(lastHour, {}, (page) => page.clock.install({ time: present }));
  await drawn(page);
  watching.now = now;
  expect(asked).toHaveLength(1);
  for (let n = 0; n < 8; n++) await page.clock.runFor(1000);
  expect(asked).toHaveLength(1);
  for (let n = 0; n < 10; n++) await page.clock.runFor(1000);
  await expect.poll(() => asked.length).toBe(2);
});

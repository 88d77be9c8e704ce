import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, inject, it, vi } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import type { Evening } from '../../model/shapes.ts';
import { evening, house, told } from './house.ts';
import {
  arrived,
  newPhone,
  type Phone,
  type PhoneKind,
  read,
  spoken,
  startBrowser,
} from './phone.ts';
import { type Script, ScriptedService } from './scripted-service.ts';
import { before, day, figures, present, situation, value } from './situation.ts';

vi.setConfig({ testTimeout: 60_000, hookTimeout: 120_000 });

let browser: Browser;
let service: ScriptedService;
/** What is told of the evening waits for this. */
let held: Promise<void> = Promise.resolve();
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

const priced = (changes: Parameters<typeof situation>[0] = {}) =>
  told(situation({ day: { ...day, currency: 'NZD' }, ...changes }));

const scriptOf = (changes: Partial<Evening> = {}, rest: Partial<Script> = {}) =>
  house({ now: { kowhai: priced() }, evenings: { kowhai: { ...evening, ...changes } }, ...rest });

async function open(script: Script, kind: PhoneKind & { clockAt?: string; path?: string } = {}) {
  service = new ScriptedService(inject('page'), script);
  service.eveningHeldBack = held;
  service.at = kind.clockAt ?? null;
  await service.start();
  phone = await newPhone(browser, { locale: 'en-GB', ...kind });
  if (kind.clockAt) await phone.page.clock.install({ time: kind.clockAt });
  await phone.page.goto(service.url + (kind.path ?? '/'));
  await arrived(phone.page);
  return phone.page;
}

/** In a quarter hour whose look ahead has long been worked out. */
const early = before(-120);

const tonight = () => read(phone.page, '.tonight');
const label = (text: string | RegExp) =>
  phone.page.locator('.tonight dt').filter({ hasText: text });
const asked = () => service.requests.filter((path) => path.endsWith('/evening')).length;
const drawn = () => phone.page.locator('canvas[data-drawn]').waitFor();
const answer = async () => spoken(await phone.page.locator('canvas').getAttribute('aria-label'));

/** Time goes by, for the service and for the phone. */
async function pass(ms: number): Promise<void> {
  service.at = new Date(Date.parse(service.at!) + ms).toISOString();
  await phone.page.clock.fastForward(ms);
}

describe('the third fact', () => {
  it('tells the range, when the backup must start and what it costs, and the cheapest start', async () => {
    await open(scriptOf());
    await label('Tonight at 20:00').waitFor();
    expect(await tonight()).toBe(
      'Tonight at 20:00 37.0 to 38.0 °C if the sky stays as it is ' +
        'To have 38 °C by then, the backup must start by 19:15 and costs NZ$0.25. ' +
        'Started at 15:00, it costs least: NZ$0.15.',
    );
  });

  it('speaks the person’s degrees and clock', async () => {
    await open(scriptOf(), { locale: 'en-US' });
    await label('Tonight at 8:00 PM').waitFor();
    expect(await tonight()).toContain('98.5 to 100.5 °F');
    expect(await tonight()).toContain('To have 100 °F by then, the backup must start by 7:15 PM');
    await drawn();
    expect(await answer()).toContain('At 8:00 PM the water is expected at 98.5 to 100.5 °F.');
  });

  it('says no cheapest start where that costs the same, and energy where there is no price', async () => {
    const { latest } = evening.backup!;
    await open(scriptOf({ backup: { latest, cheapest: { ...latest, start: before(-600) } } }));
    await label('Tonight').waitFor();
    expect(await tonight()).not.toContain('least');
    await phone.context.close();
    await service.stop();
    await open(scriptOf({ currency: null }));
    await label('Tonight').waitFor();
    expect(await tonight()).toContain('must start by 19:15 and takes 0.8 kWh.');
    expect(await tonight()).not.toContain('least');
  });

  it('a start whose time has come is now', async () => {
    const { latest } = evening.backup!;
    await open(scriptOf({ backup: { latest: { ...latest, start: present }, cheapest: latest } }));
    await label('Tonight').waitFor();
    expect(await tonight()).toContain('the backup must start now and costs NZ$0.25.');
  });

  it('without a start it tells whether none is needed, none is there or none would do', async () => {
    const page = await open(scriptOf({ backup: null, why: 'warm-enough' }), { clockAt: early });
    const [other, last] = ['no-backup', 'not-in-time'] as const;
    await page.getByText('The backup is not needed for that.').waitFor();
    service.socketsPass = false;
    service.script.evenings.kowhai = { ...evening, backup: null, why: other };
    await pass(15 * MINUTE);
    await page.getByText('There is no backup to make it 38 °C by then.').waitFor();
    service.script.evenings.kowhai = { ...evening, backup: null, why: last };
    await pass(15 * MINUTE);
    await page.getByText('The backup cannot make it 38 °C by then in the hours').waitFor();
  });

  it('tomorrow’s hour is told as such, no sky of today stands for it, and starts today say so', async () => {
    await open(scriptOf({ at: '2026-03-02T07:00:00.000Z', bySky: false }));
    await label('Tomorrow at 20:00').waitFor();
    expect(await tonight()).toBe(
      'Tomorrow at 20:00 37.0 to 38.0 °C if all goes as usual ' +
        'To have 38 °C by then, the backup must start by 19:15 today and costs NZ$0.25. ' +
        'Started at 15:00 today, it costs least: NZ$0.15.',
    );
    await drawn();
    expect(await answer()).not.toContain('expected');
    expect(await read(phone.page, '.legend')).not.toContain('expected');
  });

  it('what may get too hot is said before anybody gets in', async () => {
    await open(scriptOf({ lowC: 38.9, highC: 40.6, backup: null, why: 'warm-enough' }));
    await label('Tonight').waitFor();
    expect(await tonight()).toBe(
      'Tonight at 20:00 The water may be above 40 °C by then, which is too hot for a bath: nobody ' +
        'should get in before a thermometer shows less. 38.5 to 41.0 °C if the sky stays as it is ' +
        'The backup is not needed for that.',
    );
    expect(await phone.page.locator('.tonight .caution').count()).toBe(1);
  });

  it('where nothing can be foreseen it says why, and never a number', async () => {
    const says = 'How warm the tub will be cannot be said: its water was not heard just now.';
    await open(scriptOf({ at: null, lowC: null, highC: null, backup: null, says }));
    await label('This evening').waitFor();
    await phone.page.getByText('its water was not heard').waitFor();
    expect(await tonight()).toBe(`This evening not known just now ${says}`);
  });

  it('a service that does not answer that question leaves the rest of the page whole', async () => {
    await open(house({ evenings: {} }));
    await phone.page.getByText('cannot be had from Sunsteep').waitFor();
    await drawn();
    expect(await read(phone.page, '.facts')).toContain('Water now 36.4 °C');
  });

  it('is not there for a drained tub, nor for a day that is over', async () => {
    const drained = situation({ figures: { drainedSince: '2025-06-03T00:00:00.000Z' } });
    await open(house({ now: { kowhai: told(drained) } }));
    await drawn();
    expect(await phone.page.locator('.tonight').count()).toBe(0);
    await phone.page.getByRole('link', { name: 'Yesterday' }).click();
    await phone.page.getByText('yesterday.').waitFor();
    await drawn();
    expect(await phone.page.locator('.tonight').count()).toBe(0);
    expect(asked()).toBe(0);
  });
});

describe('in the chart', () => {
  it('stands in the legend, in the words for it, and in the table', async () => {
    const page = await open(scriptOf());
    await drawn();
    await label('Tonight').waitFor();
    expect(await read(page, '.legend')).toContain('water expected at 20:00');
    expect(await answer()).toContain('At 20:00 the water is expected at 37.0 to 38.0 °C.');
    await page.getByText('The same as a table').click();
    expect(await read(page, 'tr.expected')).toBe('expected at 20:00 37.0 to 38.0 °C');
  });

  it('is drawn between now and that hour, dotted rather than filled', async () => {
    const page = await open(scriptOf());
    await drawn();
    await label('Tonight').waitFor();
    await expect.poll(() => waterAfterNow(page)).toMatchObject({ solid: expect.any(Number) });
    const { solid, upright } = await waterAfterNow(page);
    // Two edges, dots, and the upright line of the hour; a filled wedge would be far more.
    expect(solid).toBeGreaterThan(200);
    expect(solid).toBeLessThan(3000);
    expect(upright).toBeGreaterThan(40);
  });
});

/** Pixels in the water's own colour right of half past three in the afternoon, and how many stand on top of each other. */
const waterAfterNow = (page: Page) =>
  page.locator('canvas').evaluate((canvas: HTMLCanvasElement) => {
    const { width, height } = canvas;
    const { data } = canvas.getContext('2d')!.getImageData(0, 0, width, height);
    const hex = getComputedStyle(canvas).getPropertyValue('--water').trim();
    const water = Number.parseInt(hex.slice(1), 16);
    let solid = 0;
    let upright = 0;
    for (let x = Math.round(width * 0.66); x < width; x++) {
      let inColumn = 0;
      for (let y = 0; y < height; y++) {
        const i = 4 * (y * width + x);
        const colour = (data[i]! << 16) | (data[i + 1]! << 8) | data[i + 2]!;
        if (data[i + 3] === 255 && colour === water) inColumn++;
      }
      solid += inColumn;
      upright = Math.max(upright, inColumn);
    }
    return { solid, upright };
  });

describe('coming in', () => {
  it('holds up neither the sentence nor the chart, and moves nothing when it comes', async () => {
    let release = () => {};
    held = new Promise((resolve) => {
      release = resolve;
    });
    const page = await open(scriptOf(), { height: 2000 });
    held = Promise.resolve();
    await drawn();
    await expect.poll(asked).toBe(1);
    await page.evaluate(() => document.fonts.ready);
    expect(await tonight()).toBe('This evening One moment…');
    const places = () =>
      page
        .locator('figure, .legend li, .facts > div, .steps, .foot')
        .evaluateAll((nodes) => nodes.map((node) => node.getBoundingClientRect().top));
    const earlier = await places();
    release();
    await label('Tonight').waitFor();
    const later = await places();
    expect(later).toEqual(earlier);
    expect(later.length).toBeGreaterThan(8);
  });

  it('is asked for after the first view, and a restless day asks no more', async () => {
    const page = await open(scriptOf(), { clockAt: early });
    await label('Tonight').waitFor();
    const order = service.requests.map((path) => path.split('/').at(-1));
    expect(order.indexOf('evening')).toBeGreaterThan(order.indexOf('now'));
    await service.watched('kowhai');
    for (let n = 0; n < 5; n++) service.tellDay('kowhai', { ...day, gainKwh: 6.3 + n / 10 });
    service.tell('kowhai', priced({ at: early, powerW: 800 }));
    await page.getByText('800 W is going in.').waitFor();
    // A line that came back would be a reason to ask.
    service.socketsPass = false;
    await pass(6 * MINUTE);
    await page.getByText(/heard\s\d+\smin\sago/).waitFor();
    expect(asked()).toBe(1);
  });

  it('is asked for again in the next quarter hour, and then says the new one', async () => {
    const page = await open(scriptOf(), { clockAt: early });
    await label('Tonight').waitFor();
    service.script.evenings.kowhai = { ...evening, lowC: 36.1, highC: 36.9 };
    await service.watched('kowhai');
    service.socketsPass = false;
    await pass(13 * MINUTE);
    await page.getByText('unknown: use a thermometer').waitFor();
    expect(asked()).toBe(1);
    await pass(2 * MINUTE);
    await page.locator('strong', { hasText: '36.0 to 37.0' }).waitFor();
    expect(asked()).toBe(2);
  });

  it('is asked for again when the page comes back to the front, but not within five minutes', async () => {
    const page = await open(scriptOf(), { clockAt: early });
    await label('Tonight').waitFor();
    service.socketsPass = false;
    await pass(MINUTE);
    const refreshed = () => service.requests.filter((path) => path.endsWith('/now')).length;
    const earlier = refreshed();
    await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
    await expect.poll(refreshed).toBeGreaterThan(earlier);
    expect(asked()).toBe(1);
    await pass(5 * MINUTE);
    await expect.poll(asked).toBe(2);
  });

  it('is asked for at once when the wanted temperature has changed', async () => {
    await open(scriptOf(), { clockAt: early });
    await label('Tonight').waitFor();
    await service.watched('kowhai');
    service.script.evenings.kowhai = { ...evening, backup: null, why: 'warm-enough' };
    service.tell('kowhai', priced({ at: early, figures: { targetC: 37 } }));
    await phone.page.getByText('not needed').waitFor();
    expect(asked()).toBe(2);
  });
});

describe('out of reach', () => {
  it('tells its age, then goes', async () => {
    const page = await open(scriptOf(), { clockAt: early });
    await label('Tonight').waitFor();
    await service.watched('kowhai');
    await service.stop();
    await page.getByText(/not live since/).waitFor();
    await page.clock.fastForward(40 * MINUTE);
    await page.getByText(/as foretold 4\d\smin ago/).waitFor();
    await page.clock.fastForward(2 * HOUR);
    await page.getByText('What was last foretold is from 14:32').waitFor();
    expect(await tonight()).not.toContain('37.0');
  });

  it('the hour that has passed is not foretold: the next look is asked for', async () => {
    const late = '2026-03-01T06:40:00.000Z';
    const soon = situation({
      at: late,
      values: { 'tub/temperature': value(37.1, -18_600 + 20) },
      figures: { ...figures, heardAt: before(5, late), tubC: 37.1 },
    });
    const page = await open(house({ now: { kowhai: told(soon) } }), { clockAt: late });
    await label('Tonight at 20:00').waitFor();
    service.script.evenings.kowhai = { ...evening, at: '2026-03-02T07:00:00.000Z' };
    await pass(22 * MINUTE);
    await label('Tomorrow at 20:00').waitFor();
    await drawn();
    expect(await read(page, '.legend')).not.toContain('expected');
  });
});

import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, inject, it, vi } from 'vitest';
import { dayWith, house, told } from './house.ts';
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
import { alert, before, day, situation, value } from './situation.ts';

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

async function open(script: Script, kind: PhoneKind = {}, path = '/') {
  service = new ScriptedService(inject('page'), script);
  await service.start();
  phone = await newPhone(browser, { locale: 'en-GB', ...kind });
  await phone.page.goto(service.url + path);
  await arrived(phone.page);
  return phone.page;
}

const drawn = () => phone.page.locator('canvas[data-drawn]').waitFor();
const facts = () => read(phone.page, '.facts');
const head = () => read(phone.page, '.head');

describe('Today says what is so', () => {
  it('heating: the sentence, its detail, the chart in words, and three facts with their doubt', async () => {
    const page = await open(house());
    await page.getByText('Tonight at 20:00').waitFor();
    expect(await sentenceOn(page)).toBe('The sun is heating your tub.');
    expect(await read(page, '.detail')).toBe(
      '1.6 kW is going in. The water gains half a degree an hour.',
    );
    expect(await head()).toMatch(/^Kōwhai Terrace heard \d+ s ago$/);
    await drawn();
    expect(spoken(await page.locator('canvas').getAttribute('aria-label'))).toBe(
      'Heat came from 09:15 to 14:30, most around 12:45 with 1.8 kW. ' +
        'The water went from 35.6 °C to 36.4 °C. ' +
        'At 20:00 the water is expected at 37.0 to 38.0 °C.',
    );
    expect(await facts()).toMatch(
      new RegExp(
        '^From the sun today 6\\.2 kWh between 5\\.8 and 6\\.6, measured ' +
          'Water now 36\\.4 °C below the 40 °C limit, measured \\d\\d s ago ' +
          'Tonight at 20:00 37\\.0 to 38\\.0 °C if the sky stays as it is ' +
          'To have 38 °C by then, the backup must start by 19:15 and costs NZ\\$0\\.25\\. ' +
          'Started at 15:00, it costs least: NZ\\$0\\.15\\.$',
      ),
    );
    expect(await page.title()).toBe('The sun is heating your tub. Kōwhai Terrace');
  });

  const states: [name: string, situation: Parameters<typeof situation>[0], sentence: string][] = [
    [
      'silence',
      { figures: { heardAt: before(1500) }, values: { 'tub/temperature': value(36.4, 1500) } },
      'Nothing heard since 14:05.',
    ],
    [
      'drained',
      { figures: { drainedSince: '2025-06-03T00:00:00.000Z' } },
      'Drained for the winter since Tuesday 3 June.',
    ],
    [
      'a pump without heat',
      { powerW: 0, figures: { pumpChangedAt: before(1500) } },
      'The pump is running, but no heat arrives.',
    ],
    [
      'a pump just started',
      { powerW: 0, figures: { pumpChangedAt: before(60) } },
      'The pump has just started.',
    ],
    [
      'a full tub',
      { powerW: 0, figures: { pumpOn: false, tubC: 38.8 } },
      'Your tub is warm enough.',
    ],
    [
      'too little sun',
      { powerW: 0, figures: { pumpOn: false, collectorC: 24 } },
      'Waiting for sun.',
    ],
    [
      'no heat taken',
      { powerW: 0, figures: { pumpOn: false, collectorC: 91 } },
      'No heat is reaching the tub.',
    ],
  ];
  for (const [name, changes, sentence] of states) {
    it(name, async () => {
      const page = await open(house({ now: { kowhai: told(situation(changes)) } }));
      expect(await sentenceOn(page)).toBe(sentence);
    });
  }

  it('night: what the day came to', async () => {
    const at = '2026-03-01T09:00:00.000Z';
    const night = situation({
      at,
      powerW: 0,
      values: { 'tub/temperature': value(37.1, -27_000 + 30) },
      figures: { pumpOn: false, tubC: 37.1, tubKPerH: -0.2, heardAt: before(5, at) },
    });
    const page = await open(house({ now: { kowhai: told(night) } }));
    expect(await sentenceOn(page)).toBe('The sun put in 6.2 kWh today.');
  });

  it('the service says the same sentence as the page, where units are the same', async () => {
    const script = house();
    const page = await open(script);
    expect(await sentenceOn(page)).toBe(script.now.kowhai!.sentence);
    expect(await read(page, '.detail')).toBe(script.now.kowhai!.detail);
  });

  it('a danger fills a block with its word, before everything else', async () => {
    const s = situation({
      values: { 'tub/temperature': value(42.3, 8) },
      figures: { tubC: 42.3 },
      alerts: [
        alert({}),
        alert({
          id: 'a2',
          severity: 'danger',
          fault: 'water-too-hot',
          checks: ['Nobody in the water.'],
          caution: 'Above 40 °C people overheat.',
        }),
      ],
    });
    const page = await open(house({ now: { kowhai: told(s) } }));
    expect(await sentenceOn(page)).toBe('Do not get in. The water is at 42.3 °C.');
    const blocks = await page.locator('.block').allInnerTexts();
    expect(blocks.map(spoken)).toEqual([
      'Danger Do not get in. The water is at 42.3 °C. Since 10:05. First: Nobody in the water. Caution. Above 40 °C people overheat. What to check',
      'Act today The pump is not turning, though the sun is out. Since 10:05. About 3.1 kWh of sun has passed by.',
    ]);
    expect(await facts()).toContain('above the 40 °C limit');
    expect(await facts()).toContain('nobody should get in');
  });

  it('what is to be done today stands on top, and the state below it in smaller type', async () => {
    const s = situation({
      powerW: 0,
      figures: { pumpOn: false, collectorC: 91, tubC: 34.6 },
      alerts: [alert({})],
    });
    const page = await open(house({ now: { kowhai: told(s) } }));
    expect(await sentenceOn(page)).toBe('No heat is reaching the tub.');
    const size = (selector: string) =>
      page.locator(selector).evaluate((node) => Number.parseFloat(getComputedStyle(node).fontSize));
    expect(await size('h1')).toBeLessThan(28);
    const above = await page.locator('.block').boundingBox();
    const below = await page.locator('h1').boundingBox();
    expect(above!.y + above!.height).toBeLessThan(below!.y);
  });
});

describe('figures and their doubt', () => {
  it('an estimate is hatched, ranged and named, and says what would measure it', async () => {
    const sums = { ...day, basis: 'estimated' as const, uncertaintyKwh: 0.9 };
    const page = await open(
      house({
        now: { kowhai: told(situation({ day: sums })) },
        days: { '2026-03-01': dayWith({ basis: 'estimated' }) },
      }),
    );
    await drawn();
    expect(await facts()).toContain('6.2 kWh between 4.3 and 8.0, estimated');
    expect(await facts()).toContain('would measure it');
    expect(await read(page, '.legend')).toContain('hatched: estimated');
  });

  it('what was not heard is a gap in the words, and no zero in the table', async () => {
    const page = await open(house({ days: { '2026-03-01': dayWith({ gap: [44, 47] }) } }));
    await drawn();
    expect(await page.locator('canvas').getAttribute('aria-label')).toContain(
      'Nothing was heard from 11:00 to 12:00.',
    );
    expect(await facts()).toContain(
      'Heard for 93 % of the day so far; nothing is counted for the rest.',
    );
    await page.getByText('The same as a table').click();
    expect(await read(page, 'tr:has-text("11:00")')).toBe('11:00 not heard not heard');
    expect(await read(page, 'tr:has-text("10:00")')).toMatch(/^10:00 \d\.\d\d \d\d\.\d$/);
  });

  it('heat that the loop lost is told and drawn apart', async () => {
    const page = await open(
      house({
        now: { kowhai: told(situation({ day: { ...day, lostKwh: 0.56 } })) },
        days: { '2026-03-01': dayWith({ lost: true }) },
      }),
    );
    await drawn();
    expect(await facts()).toContain('The loop took 0.6 kWh out of the tub again.');
    expect(await read(page, '.legend')).toContain('heat lost by the loop');
    expect(await page.locator('canvas').getAttribute('aria-label')).toContain(
      'The loop took 0.6 kWh out of the tub.',
    );
  });

  it('a late temperature says so, a stale one gives way to a thermometer', async () => {
    const water = (ageS: number) =>
      told(situation({ values: { 'tub/temperature': value(36.4, ageS) } }));
    const page = await open(house({ now: { kowhai: water(400) } }));
    expect(await facts()).toContain('that was 6 min ago, and nothing newer has come');
    await service.watched('kowhai');
    service.tell('kowhai', water(1000));
    await page.getByText('unknown: use a thermometer').waitFor();
    expect(await facts()).toContain('sensor was last heard at 14:13.');
    expect(await facts()).not.toContain('36.4');
  });

  it('a value that only the broker kept is not shown as what is so', async () => {
    const kept = situation({ values: { 'tub/temperature': value(36.4, 0, { time: null }) } });
    await open(house({ now: { kowhai: told(kept) } }));
    expect(await facts()).toContain('unknown: use a thermometer');
    expect(await facts()).toContain('The broker had kept 36.4 °C from an earlier time');
  });

  it('what cannot be worked out is not shown as zero', async () => {
    const nothing = { ...day, gainKwh: null, basis: null, uncertaintyKwh: null, coverage: 0 };
    await open(house({ now: { kowhai: told(situation({ powerW: null, day: nothing })) } }));
    expect(await facts()).toContain('From the sun today not known');
    expect(await facts()).not.toMatch(/\b0\.0\b/);
  });

  it('what was saved by nothing, or less than nothing, is said in words', async () => {
    const saved = (savedMoney: number) =>
      told(situation({ day: { ...day, savedMoney, currency: 'NZD' } }));
    const page = await open(house({ now: { kowhai: saved(-0.004) } }));
    expect(await facts()).toContain('Nothing saved on backup heat so far');
    await service.watched('kowhai');
    service.tell('kowhai', saved(-0.01));
    await page.getByText('electricity cost').waitFor();
    expect(await facts()).toContain(
      'Nothing saved on backup heat so far: the loop’s electricity cost NZ$0.01 more',
    );
    expect(await facts()).not.toMatch(/[−-]NZ|[−-]0/);
  });

  it('money stands there once it is worked out, and spans that do not count say why', async () => {
    const sums = {
      ...day,
      savedMoney: 1.9,
      currency: 'NZD',
      notCounted: [
        {
          from: '2026-02-28T21:05:00.000Z',
          to: '2026-02-28T22:00:00.000Z',
          why: 'the pump stood still',
        },
      ],
    };
    await open(house({ now: { kowhai: told(situation({ day: sums })) } }));
    expect(await facts()).toContain('NZ$1.90 of backup heat not bought so far');
    expect(await facts()).toContain('Not counted from 10:05 to 11:00: the pump stood still');
  });
});

describe('any other day', () => {
  it('is a step back by a button, in the past tense, with an address of its own', async () => {
    const page = await open(house());
    await page.getByRole('link', { name: 'Yesterday' }).click();
    await page.getByText('The sun put in 6.2 kWh yesterday.').waitFor();
    expect(new URL(page.url()).pathname).toBe('/day/2026-02-28');
    expect(await read(page, '.detail')).toBe(
      'Saturday 28 February. The pump ran for 4 h 36 min and moved 1,160 l.',
    );
    expect(await facts()).toBe(
      'From the sun that day 6.2 kWh between 5.8 and 6.6, measured Water that day 34.5 °C to 36.4 °C lowest and highest',
    );
    await page.getByRole('link', { name: 'The day before' }).click();
    await page.getByText('Nothing was heard on Friday 27 February.').waitFor();
    await page.goBack();
    await page.goBack();
    await page.getByText('The sun is heating your tub.').waitFor();
  });

  it('opens by its address, and leads on to today', async () => {
    const page = await open(house(), {}, '/day/2026-02-28');
    await page.getByText('The sun put in 6.2 kWh yesterday.').waitFor();
    await page.locator('.steps').getByRole('link', { name: 'Today' }).click();
    await page.getByText('The sun is heating your tub.').waitFor();
    expect(new URL(page.url()).pathname).toBe('/');
  });

  it('that has not come yet says so', async () => {
    const page = await open(house(), {}, '/day/2026-03-02');
    expect(await sentenceOn(page)).toBe('Monday 2 March has not come yet.');
  });

  it('is a swipe away, and a stroke downwards is none', async () => {
    const page = await open(house(), { touch: true });
    const stroke = (fromX: number, toX: number, down = 0) =>
      page.locator('.today').evaluate(
        (node, [x, to, by]) => {
          const touch = (clientX: number, clientY: number) =>
            new Touch({ identifier: 1, target: node, clientX, clientY });
          const fire = (type: string, touches: Touch[], changed: Touch[]) =>
            node.dispatchEvent(
              new TouchEvent(type, { bubbles: true, touches, changedTouches: changed }),
            );
          const start = touch(x!, 300);
          fire('touchstart', [start], [start]);
          fire('touchend', [], [touch(to!, 300 + by!)]);
        },
        [fromX, toX, down],
      );
    await stroke(100, 180, 200);
    expect(new URL(page.url()).pathname).toBe('/');
    await stroke(100, 300);
    await page.getByText('The sun put in 6.2 kWh yesterday.').waitFor();
    await stroke(300, 100);
    await page.getByText('The sun is heating your tub.').waitFor();
    await stroke(300, 100);
    expect(new URL(page.url()).pathname).toBe('/');
  });
});

describe('as the person likes it', () => {
  it('a phone from the United States reads °F, gallons and a 12-hour clock', async () => {
    const page = await open(house(), { locale: 'en-US' });
    await drawn();
    expect(await facts()).toContain('97.5 °F below the 104 °F limit');
    expect(await page.locator('canvas').getAttribute('aria-label')).toContain('9:15 AM');
    expect(await read(page, '.legend')).toContain('wanted, 100 °F');
  });

  it('a choice is kept on the phone', async () => {
    const page = await open(house());
    await page.getByText('Units: °C, litres, 24 hours').click();
    await page.getByLabel('°F').check();
    await page.getByText('97.5 °F').waitFor();
    await page.reload();
    await page.getByText('97.5 °F').waitFor();
    await page.getByText('Units: °F, litres, 24 hours').waitFor();
  });

  it('hours are those of the tub, wherever the phone is', async () => {
    const silent = situation({ figures: { heardAt: before(1500) } });
    const page = await open(house({ now: { kowhai: told(silent) } }), {
      timezoneId: 'Europe/Berlin',
    });
    expect(await sentenceOn(page)).toBe('Nothing heard since 14:05.');
  });
});

describe('several tubs', () => {
  const two = () =>
    house({
      tubs: {
        items: [
          { id: 'kowhai', name: 'Kōwhai Terrace', setUp: true },
          { id: 'rata', name: 'Rātā Point', setUp: true },
        ],
        next: null,
        demo: false,
      },
      now: {
        kowhai: told(situation()),
        rata: told(situation({ powerW: 0, figures: { pumpOn: false, collectorC: 20 } })),
      },
    });

  it('are a list to choose from; the one seen last opens next time', async () => {
    const page = await open(two());
    expect(await sentenceOn(page)).toBe('Your tubs');
    await page.getByRole('link', { name: 'Rātā Point' }).click();
    await page.getByText('Waiting for sun.').waitFor();
    expect(new URL(page.url()).pathname).toBe('/tubs/rata/');
    await page.getByRole('link', { name: 'Yesterday' }).click();
    expect(new URL(page.url()).pathname).toBe('/tubs/rata/day/2026-02-28');
    await page.goto(service.url);
    await page.getByText('Waiting for sun.').waitFor();
    await page.getByRole('link', { name: 'Rātā Point' }).click();
    await page.getByText('Your tubs').waitFor();
  });

  it('a tub that is not there is no page', async () => {
    const page = await open(two(), {}, '/tubs/nobody/');
    expect(await sentenceOn(page)).toBe('There is no such page.');
  });
});

it('a demonstration says so on every page', async () => {
  const script = house();
  script.tubs = { ...script.tubs, demo: true };
  const page = await open(script);
  const line = 'A demonstration: this tub is simulated and its figures are invented.';
  await page.getByText(line).waitFor();
  await page.getByRole('link', { name: 'Yesterday' }).click();
  await page.getByText('yesterday.').waitFor();
  expect(await page.getByText(line).count()).toBe(1);
});

it('the sentence is there before the parts that draw and that keep it live are fetched', async () => {
  service = new ScriptedService(inject('page'), house());
  await service.start();
  phone = await newPhone(browser, {});
  const order: string[] = [];
  phone.page.on('request', (request) => order.push(new URL(request.url()).pathname));
  await phone.page.route(/assets\/(drawing|socket)-/, async (route) => {
    order.push(await sentenceOn(phone.page));
    await route.continue();
  });
  await phone.page.goto(service.url);
  await drawn();
  await service.watched('kowhai');
  const told = order.filter((entry) => entry.startsWith('The sun is heating'));
  expect(told).toHaveLength(2);
  expect(order.filter((path) => path.startsWith('/api/tubs/kowhai/now'))).toEqual([]);
  expect(service.requests.filter((path) => path.startsWith('GET /api/tubs?'))).toHaveLength(1);
});

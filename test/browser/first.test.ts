import type { Browser, Route } from 'playwright-core';
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
import { situation, value } from './situation.ts';

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

const nobody: Script['tubs'] = { items: [], next: null, demo: false };

describe('before the first reading', () => {
  it('the page says how to be heard, and keeps the password until it is asked for', async () => {
    const page = await open(house({ tubs: nobody }));
    expect(await sentenceOn(page)).toBe('Nothing has spoken yet.');
    await page.getByText('192.0.2.17, port 1883').waitFor();
    expect(await read(page, '.head')).toBe('Sunsteep listening');
    expect(await read(page, '.rows')).toContain('sunsteep/my-tub/pump/running');
    expect(await page.content()).not.toContain('fern-otter-4471');
    await page.getByRole('button', { name: 'show' }).click();
    await page.getByText('fern-otter-4471', { exact: true }).waitFor();
    await page.getByText('Try from a laptop').click();
    expect(await read(page, '.line')).toBe(
      "mosquitto_pub -h 192.0.2.17 -p 1883 -u sensor -P 'fern-otter-4471' -q 1 -t sunsteep/my-tub/tub/temperature -m 36.4",
    );
    await page.getByRole('button', { name: 'hide' }).click();
    expect(await page.content()).not.toContain('fern-otter-4471');
  });

  it('refused logins are told with where they came from and why', async () => {
    const script = house({ tubs: nobody });
    script.connect.refused = [
      {
        address: '192.0.2.40',
        user: 'sensor',
        at: new Date(Date.now() - 65_000).toISOString(),
        why: 'wrong password',
      },
    ];
    const page = await open(script);
    await page.getByText('Refused so far').waitFor();
    expect(await read(page, '.refused')).toBe(
      'a login as “sensor” from 192.0.2.40: wrong password, 1 min ago',
    );
  });

  it('an outside broker is the owner’s own, and has no password to show', async () => {
    const script = house({ tubs: nobody });
    const trouble = 'The broker at mqtt.lan does not answer.';
    const outside = { host: 'mqtt.lan', embedded: false, password: null, user: '', trouble };
    script.connect = { ...script.connect, ...outside };
    const page = await open(script);
    await page.getByText('Your own broker').waitFor();
    expect(await read(page, '.rows')).toContain('mqtt.lan, port 1883');
    expect(await read(page, '.wrong')).toBe(trouble);
    expect(await page.getByRole('button', { name: 'show' }).count()).toBe(0);
  });

  it('a phone that may only look is told so', async () => {
    const page = await open(house({ tubs: nobody, right: 'viewer' }));
    await page.getByText('This phone may look, but not see the password.').waitFor();
  });

  it('the first reading shows up by itself', async () => {
    const page = await open(house({ tubs: nobody }));
    service.script.tubs = house().tubs;
    await page.getByText('The sun is heating your tub.').waitFor();
    await service.watched('kowhai');
  });
});

describe('heard, but nobody said where the tub stands', () => {
  const heard = () =>
    told(
      situation({
        powerW: null,
        day: null,
        values: {
          'pump/running': value(1, 8, { longestGapMin: 1440 }),
          'tub/temperature': value(36.4, 8),
          'collector/2/temperature': value(58.9, 8),
        },
        figures: {
          timeZone: null,
          missing: ['place/latitude', 'place/longitude', 'place/timeZone'],
          sunrise: null,
          sunset: null,
          sunDeg: null,
        },
      }),
    );

  function fresh(changes: Partial<Script> = {}): Script {
    return house({
      tubs: { items: [{ id: 'my-tub', name: 'my-tub', setUp: false }], next: null, demo: false },
      now: { 'my-tub': heard() },
      days: {},
      setup: {
        document: { tubs: [{ id: 'other', place: place(0, 0) }], notify: { mail: null } },
        etag: '"4"',
      },
      ...changes,
    });
  }

  const place = (latitude: number, longitude: number, timeZone = 'Pacific/Auckland') => ({
    latitude,
    longitude,
    timeZone,
  });

  /** From the set-up on, the tub has days. */
  function setUp(): void {
    service.onSetup = ({ tubs }) => {
      const own = tubs.find(({ id }) => id === 'my-tub')!;
      service.script.tubs.items[0] = { id: 'my-tub', name: own.name ?? 'my-tub', setUp: true };
      service.script.now['my-tub'] = told(situation());
      service.script.days['2026-03-01'] = dayWith();
    };
  }

  it('lists what is heard and what is missing', async () => {
    const page = await open(fresh());
    expect(await sentenceOn(page)).toBe(
      'Your sensors are being heard. Three things are missing before heat can be worked out.',
    );
    await page.locator('.missing a').first().waitFor();
    expect(await read(page, '.missing')).toBe(
      'the latitude of the tub the longitude of the tub the time zone of the tub',
    );
    expect(await read(page, '.heard')).toMatch(
      /^Water in the tub 36\.4 °C \d+ s ago Pump on \d+ s ago Collector 2 58\.9 °C \d+ s ago$/,
    );
    await page.getByRole('link', { name: 'the longitude of the tub' }).click();
    expect(new URL(page.url()).hash).toBe('#place-longitude');
  });

  it('each missing thing is a link, in plain words, to where it can be said', async () => {
    const now = heard();
    now.figures.missing = ['place', 'collector/temperature', 'pump/running'];
    const page = await open(fresh({ now: { 'my-tub': now } }));
    await page.getByLabel('Latitude').waitFor();
    const links = page.locator('.missing > li > a');
    expect((await links.allInnerTexts()).map(spoken)).toEqual([
      ...['where the tub stands, and its time zone', 'how hot the collectors are'],
      'whether the pump runs',
    ]);
    const led = await links.evaluateAll((all) => all.map((link) => link.getAttribute('href')));
    expect(led).toEqual(['#place-latitude', '/setup/sensors', '/setup/sensors']);
    expect(await page.locator('#place-latitude').count()).toBe(1);
    expect(await read(page, '.missing, .heard')).not.toContain('/');
  });

  it('typing the place completes the first start', async () => {
    const page = await open(fresh());
    setUp();
    await page.getByLabel('Latitude').fill('−41,27');
    await page.getByLabel('Longitude').fill('173.28');
    await page.getByLabel('Name of the tub').fill('Kōwhai Terrace');
    await page.getByRole('button', { name: 'Save the place' }).click();
    await page.getByText('The sun is heating your tub.').waitFor();
    expect(await read(page, '.head')).toContain('Kōwhai Terrace');
    await page.locator('canvas[data-drawn]').waitFor();
    expect(service.script.setup.document).toEqual({
      tubs: [
        { id: 'other', place: place(0, 0) },
        { id: 'my-tub', name: 'Kōwhai Terrace', place: place(-41.27, 173.28) },
      ],
      notify: { mail: null },
    });
  });

  it('the phone’s own location will do, to within a street', async () => {
    const page = await open(fresh(), {
      location: { latitude: -41.2706312, longitude: 173.2839653 },
    });
    setUp();
    await page.getByRole('button', { name: 'I am at the tub' }).click();
    await expect.poll(() => page.getByLabel('Latitude').inputValue()).toBe('-41.271');
    await page.getByRole('button', { name: 'Save the place' }).click();
    await page.getByText('The sun is heating your tub.').waitFor();
    expect(service.script.setup.document.tubs[1]!.place).toEqual(place(-41.271, 173.284));
  });

  it('what is no place is refused beside its field, everything at once', async () => {
    const page = await open(fresh());
    await page.getByLabel('Latitude').fill('95');
    await page.getByLabel('Longitude').fill('173.28 E');
    await page.getByRole('button', { name: 'Save the place' }).click();
    const beside = async (field: string) =>
      spoken(await page.locator(`.field:has(#${field}) .wrong`).textContent());
    expect(await beside('place-latitude')).toBe('It must be from -90 to 90.');
    expect(await beside('place-longitude')).toBe('That must be a number.');
    expect(await page.evaluate(() => document.activeElement?.id)).toBe('place-latitude');
    await page.getByLabel('Latitude').fill('-41.27');
    await page.getByLabel('Longitude').fill('');
    await page.getByRole('button', { name: 'Save the place' }).click();
    expect(await beside('place-longitude')).toBe('This is needed.');
    expect(await page.locator('.field:has(#place-latitude) .wrong').count()).toBe(0);
    expect(service.requests.some((request) => request.startsWith('PUT'))).toBe(false);
  });

  it('a forgotten minus is asked about before it is saved', async () => {
    const page = await open(fresh());
    setUp();
    await page.getByLabel('Latitude').fill('41.27');
    await page.getByLabel('Longitude').fill('173.28');
    const save = page.getByRole('button', { name: 'Save the place' });
    expect(await page.getByText('is far from').count()).toBe(0);
    await save.click();
    await page
      .getByText('41.27, 173.28 is far from Pacific/Auckland, whose time was chosen.')
      .waitFor();
    await page.getByText('Was -41.27, 173.28 meant?').waitFor();
    expect(service.requests.some((request) => request.startsWith('PUT'))).toBe(false);
    await page.getByRole('button', { name: 'Take -41.27, 173.28' }).click();
    expect(await page.getByLabel('Latitude').inputValue()).toBe('-41.27');
    expect(await page.getByText('is far from').count()).toBe(0);
    await save.click();
    await page.getByText('The sun is heating your tub.').waitFor();
    expect(service.script.setup.document.tubs[1]!.place).toEqual(place(-41.27, 173.28));
  });

  it('a place that is right though its time zone speaks against it is saved', async () => {
    const page = await open(fresh());
    setUp();
    await page.getByLabel('Latitude').fill('41.27');
    await page.getByLabel('Longitude').fill('173.28');
    await page.getByRole('button', { name: 'Save the place' }).click();
    await page.getByRole('button', { name: 'It is right as it is' }).click();
    await page.getByRole('button', { name: 'Save the place' }).click();
    await page.getByText('The sun is heating your tub.').waitFor();
    expect(service.script.setup.document.tubs[1]!.place).toEqual(place(41.27, 173.28));
  });

  it('what was typed outlasts a dropped connection and a reload', async () => {
    const page = await open(fresh());
    setUp();
    await page.getByLabel('Latitude').fill('-41.27');
    await page.getByLabel('Longitude').fill('173.28');
    await page.route('**/api/setup*', (route) => route.abort());
    await page.getByRole('button', { name: 'Save the place' }).click();
    await page.getByText('What you typed is kept on this phone').waitFor();
    await page.reload();
    await page.getByLabel('Latitude').waitFor();
    expect(await page.getByLabel('Latitude').inputValue()).toBe('-41.27');
    expect(await page.getByLabel('Longitude').inputValue()).toBe('173.28');
    await page.unroute('**/api/setup*');
    await page.getByRole('button', { name: 'Save the place' }).click();
    await page.getByText('The sun is heating your tub.').waitFor();
  });

  it('what others change meanwhile is not written over', async () => {
    const page = await open(fresh());
    setUp();
    await page.getByLabel('Latitude').fill('-41.27');
    await page.getByLabel('Longitude').fill('173.28');
    const changedMeanwhile = async (route: Route) => {
      const response = await route.fetch();
      const { document } = service.script.setup;
      service.script.setup = { document: { ...document, wiring: [] }, etag: '"5"' };
      await route.fulfill({ response });
    };
    await page.route('**/api/setup', changedMeanwhile, { times: 1 });
    await page.getByRole('button', { name: 'Save the place' }).click();
    await page.getByText('The sun is heating your tub.').waitFor();
    expect(service.script.setup.document).toMatchObject({
      wiring: [],
      tubs: [{ id: 'other' }, { id: 'my-tub', place: place(-41.27, 173.28) }],
    });
  });

  it('a phone that may only look is told so', async () => {
    const page = await open(fresh({ right: 'viewer' }));
    await page.getByText('This phone may look, but not set up.').waitFor();
    expect(await page.locator('main form').count()).toBe(0);
  });
});

describe('pairing', () => {
  it('a phone that was not let in learns how to be', async () => {
    const page = await open(house({ paired: false }));
    expect(await sentenceOn(page)).toBe('This phone is not paired yet.');
    expect(await read(page, '.line')).toBe('npm run sunsteep -- pair');
    expect(await page.locator('nav').count()).toBe(0);
  });

  it('opening a link pairs by itself, lands on Today, and leaves no code behind', async () => {
    const code = 'q2zXw0m9S1yqkV3eJ8bRdA';
    const page = await open(house({ paired: false, codes: [code] }), {}, `/pair#${code}`);
    await page.getByText('The sun is heating your tub.').waitFor();
    expect(page.url()).toBe(`${service.url}/`);
    expect(service.requests.filter((request) => request === 'POST /api/pair')).toHaveLength(1);
    await service.watched('kowhai');
    expect(await page.evaluate(() => history.length)).toBeLessThanOrEqual(2);
  });

  it('a link that is used up says so, and how to make another', async () => {
    const page = await open(house({ paired: false }), {}, '/pair#q2zXw0m9S1yqkV3eJ8bRdA');
    await page.getByText('This link is no longer good.').waitFor();
    expect(await read(page, '.line')).toBe('npm run sunsteep -- pair');
  });

  it('a good link that a proxy keeps from pairing is not told to be used up', async () => {
    const code = 'q2zXw0m9S1yqkV3eJ8bRdA';
    const script = house({ paired: false, codes: [code], foreign: true });
    const page = await open(script, {}, `/pair#${code}`);
    await page.getByText('Pairing was refused; the link may still be good.').waitFor();
    expect(await read(page, '.detail')).toBe('The test refused with 403.');
    expect(await page.locator('.line').count()).toBe(0);
    script.foreign = false;
    await page.reload();
    await page.getByText('The sun is heating your tub.').waitFor();
  });

  it('a phone that was let in before is led on from an old link', async () => {
    const page = await open(house(), {}, '/pair#q2zXw0m9S1yqkV3eJ8bRdA');
    await page.getByText('This link is no longer good.').waitFor();
    await page.getByRole('link', { name: 'Go to Today' }).click();
    await page.getByText('The sun is heating your tub.').waitFor();
  });
});

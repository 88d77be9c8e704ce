import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, inject, it, vi } from 'vitest';
import type { Alert } from '../../model/shapes.ts';
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
import {
  alert,
  before,
  endedAlerts,
  present,
  situation,
  standingAlerts,
  value,
} from './situation.ts';

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

/** A house in which these alerts stand, and those are over. */
function houseWith(
  standing: Alert[],
  ended: Alert[] = [],
  changes: Parameters<typeof situation>[0] = {},
): Script {
  return house({
    now: { kowhai: told(situation({ ...changes, alerts: standing })) },
    alerts: { kowhai: [...standing, ...ended] },
  });
}

async function open(script: Script, path = '/alerts', kind: PhoneKind = {}, clockAt = '') {
  service = new ScriptedService(inject('page'), script);
  await service.start();
  phone = await newPhone(browser, { locale: 'en-GB', ...kind });
  if (clockAt !== '') await phone.page.clock.install({ time: clockAt });
  await phone.page.goto(service.url + path);
  await arrived(phone.page);
  return phone.page;
}

const blocks = async () => (await phone.page.locator('.block').allInnerTexts()).map(spoken);
const over = () => read(phone.page, '.ended');
const button = (name: string) => phone.page.getByRole('button', { name, exact: true });
const focused = () => phone.page.evaluate(() => document.activeElement?.tagName);

describe('all alerts', () => {
  it('stand with their word, a sentence, since when and what they cost, the gravest first', async () => {
    const page = await open(houseWith(standingAlerts, endedAlerts));
    await page.locator('.ended').waitFor();
    expect(await sentenceOn(page)).toBe('One danger to see to first.');
    expect(await read(page, '.detail')).toBe(
      'Beside that, one thing to do today, one thing to look at when you can and one thing for your notes.',
    );
    expect(await blocks()).toEqual([
      'Danger Do not get in: the water is at 42.3 °C. Since 10:05. ' +
        'Caution. Above 40 °C people overheat, children and pregnant people first.',
      'Act today The pump is not turning, though the sun is out. Since 10:05. About 3.1 kWh of sun ' +
        'has passed by. Caution. Hot water and steam. Open nothing and start nothing while the ' +
        'collector is over 60 °C.',
      'When you can The tub loses more heat than it used to. Since 26 February at 00:00. Since 09:00 ' +
        'the sensors cannot tell whether it still stands. Somebody has known since 27 February at ' +
        '14:00. Quiet until 6 March at 08:00.',
      'For your notes The tub is often as warm as it may get. Since 10:05.',
    ]);
    expect(await page.title()).toBe('One danger to see to first. Kōwhai Terrace');
  });

  it('of no other kind but danger fill a block with colour', async () => {
    const page = await open(houseWith(standingAlerts));
    const grounds = await page
      .locator('.block')
      .evaluateAll((nodes) => nodes.map((node) => getComputedStyle(node).backgroundColor));
    expect(grounds).toHaveLength(4);
    expect(grounds[0]).toBe('rgb(154, 27, 27)');
    expect(new Set(grounds.slice(1)).size).toBe(1);
    expect(grounds[1]).toBe('rgb(255, 253, 248)');
  });

  it('that are over stand below by the month in which they ended, with how long they stood', async () => {
    const page = await open(houseWith([], endedAlerts));
    await page.locator('.ended').waitFor();
    expect(await over()).toBe(
      'Over March 2026 ' +
        'The pump is not turning, though the sun is out. ' +
        'Saturday 28 February, stood for 26 h. About 3.1 kWh of sun has passed by. ' +
        'February 2026 ' +
        'Water in the tub: nothing has been heard of it. Saturday 28 February, stood for 59 min. ' +
        'December 2025 ' +
        'The pump is not turning, though the sun is out. ' +
        'Thursday, 11 December 2025, stood for 3 h 10 min. About 1.2 kWh of sun has passed by.',
    );
  });

  it('are none: says so, and what such sensors cannot show', async () => {
    const page = await open(houseWith([]));
    expect(await sentenceOn(page)).toBe('Nothing is wrong that these sensors could show.');
    expect(await read(page, '.detail')).toBe(
      'They cannot show how clean the water is, a small leak, how much water goes round or what the ' +
        'pump draws.',
    );
    expect(await page.locator('.block, .ended').count()).toBe(0);
  });

  it('are none with more sensors: less cannot be shown', async () => {
    const values = {
      'tub/temperature': value(36.4, 8),
      'tub/level': value(1, 8),
      'pump/volume': value(1200, 8),
      'pump/power': value(13, 8),
    };
    const page = await open(houseWith([], [], { values }));
    expect(await read(page, '.detail')).toBe('They cannot show how clean the water is.');
  });

  it('are none where nothing is heard: nobody says that nothing is wrong', async () => {
    const page = await open(
      houseWith([], [], {
        figures: { heardAt: before(1500) },
        values: { 'tub/temperature': value(36.4, 1500) },
      }),
    );
    expect(await sentenceOn(page)).toBe('Nothing heard since 14:05.');
  });

  it('are none yet where the water is too hot: that is said as a danger', async () => {
    const page = await open(
      houseWith([], [], {
        values: { 'tub/temperature': value(42.3, 8) },
        figures: { tubC: 42.3 },
      }),
    );
    expect(await sentenceOn(page)).toBe('Do not get in. The water is at 42.3 °C.');
    expect(await page.locator('.block.danger').count()).toBe(1);
  });

  it('lead to each of them, and so do the blocks of Today', async () => {
    const page = await open(houseWith(standingAlerts.slice(0, 1), endedAlerts), '/');
    // Anywhere on the block will do.
    await page.locator('.block .word').click({ force: true });
    await page.getByText('Check first, in this order').waitFor();
    expect(new URL(page.url()).pathname).toBe('/alerts/a1');
    await expect.poll(focused).toBe('H1');
    await page.getByRole('link', { name: 'All alerts' }).click();
    await page.getByRole('link', { name: 'Water in the tub' }).click();
    await page.getByText(/^From 28 February/).waitFor();
    expect(new URL(page.url()).pathname).toBe('/alerts/o2');
    const tab = page.getByRole('navigation').getByRole('link', { name: 'Alerts' });
    expect(await tab.getAttribute('aria-current')).toBe('page');
    await tab.click();
    await page.getByText('One thing to do today.').waitFor();
    await page.goBack();
    await page.getByText(/^From 28 February/).waitFor();
  });

  it('are led to from the danger that Today is about', async () => {
    const page = await open(houseWith(standingAlerts), '/');
    await page.getByRole('link', { name: 'What to check' }).click();
    await page.getByText('Check first, in this order').waitFor();
    expect(new URL(page.url()).pathname).toBe('/alerts/d1');
  });

  it('keep to the tub that was chosen', async () => {
    const script = houseWith(standingAlerts.slice(0, 1));
    script.tubs.items.push({ id: 'rata', name: 'Rātā Point', setUp: true });
    script.now.rata = told(situation());
    const page = await open(script, '/tubs/rata/alerts');
    expect(await sentenceOn(page)).toBe('Nothing is wrong that these sensors could show.');
    await page.getByRole('link', { name: 'Rātā Point' }).click();
    await page.getByRole('link', { name: 'Kōwhai Terrace' }).click();
    await page.getByRole('navigation').getByRole('link', { name: 'Alerts' }).click();
    await page.getByText('One thing to do today.').waitFor();
    await page.getByRole('link', { name: 'The pump is not turning' }).click();
    await page.getByText('Check first, in this order').waitFor();
    expect(new URL(page.url()).pathname).toBe('/tubs/kowhai/alerts/a1');
  });
});

describe('one alert', () => {
  it('says what is so, what shows it, what to look out for, and what to check, in this order', async () => {
    const page = await open(houseWith(standingAlerts), '/alerts/a1');
    await button('I have seen it').waitFor();
    expect(await read(page, 'main .alerts')).toBe(
      'Act today The pump is not turning, though the sun is out. ' +
        'Since 10:05, for 4 h 25 min. About 3.1 kWh of sun has passed by. ' +
        'The collector has been 57 degrees warmer than the tub, and the controller asks for the pump, ' +
        'but it draws 0 W. ' +
        'Caution. Hot water and steam. Open nothing and start nothing while the collector is over 60 °C. ' +
        'Check first, in this order ' +
        '1 Is the pump’s plug in, and its small fuse whole? ' +
        '2 Is there 12 V at the pump’s plug? If not, it is the cable or the controller. ' +
        '3 With the power off, does the rotor turn by hand? Leaf or scale can block it. ' +
        'Your answer I have seen it Quiet until… Not a fault ' +
        'These days in one file, for somebody who helps All alerts',
    );
    expect(await sentenceOn(page)).toBe('The pump is not turning, though the sun is out.');
  });

  it('that is over says from when until when, and takes no answer', async () => {
    const page = await open(houseWith([], endedAlerts), '/alerts/o1');
    await page.getByText('Check first, in this order').waitFor();
    expect(await blocks()).toEqual([
      'Over The pump is not turning, though the sun is out. From 28 February at 09:00 until 1 March ' +
        'at 11:00: it stood for 26 h. About 3.1 kWh of sun has passed by.',
    ]);
    expect(await page.getByRole('button').count()).toBe(0);
  });

  it('that was a danger and is over fills no block with colour', async () => {
    const ended = alert({ severity: 'danger', until: '2026-03-01T01:00:00.000Z' });
    const page = await open(houseWith([], [ended]), '/alerts/a1');
    await page.getByText('Check first, in this order').waitFor();
    expect(await page.locator('.block.danger').count()).toBe(0);
    expect(await blocks()).toEqual([expect.stringMatching(/From 10:05 until 14:00/)]);
  });

  it('that is not there is told once that is known', async () => {
    let release = () => {};
    service = new ScriptedService(inject('page'), houseWith(standingAlerts));
    service.alertsHeldBack = new Promise((resolve) => {
      release = resolve;
    });
    await service.start();
    phone = await newPhone(browser, { locale: 'en-GB' });
    const { page } = phone;
    await page.goto(`${service.url}/alerts/nothing`);
    await expect.poll(() => service.requests).toContain('GET /api/tubs/kowhai/alerts');
    expect(await sentenceOn(page)).toBe('One moment…');
    release();
    await page.getByText('There is no such alert.').waitFor();
    await page.getByRole('link', { name: 'All alerts' }).click();
    await page.getByText('One danger to see to first.').waitFor();
  });

  it('keeps its ticks on this phone, and they are its own', async () => {
    const other = alert({ id: 'a2', point: 'pump/power' });
    const page = await open(houseWith([alert({}), other]), '/alerts/a1');
    const steps = page.getByRole('checkbox');
    await steps.nth(0).check();
    await steps.nth(2).check();
    await steps.nth(1).check();
    await steps.nth(1).uncheck();
    await page.reload();
    await steps.nth(2).waitFor();
    const ticked = () =>
      steps.evaluateAll((nodes) => nodes.map((node) => (node as HTMLInputElement).checked));
    expect(await ticked()).toEqual([true, false, true]);
    await page.goto(`${service.url}/alerts/a2`);
    await steps.nth(2).waitFor();
    expect(await ticked()).toEqual([false, false, false]);
  });
});

describe('answers', () => {
  it('seen: goes to the service, and the block says so', async () => {
    const page = await open(houseWith([alert({})]), '/alerts/a1');
    await button('I have seen it').click();
    await page.getByText(/Somebody has known since 14:30\.$/).waitFor();
    expect(service.answers).toEqual([['a1', 'acknowledge', {}]]);
    expect(await button('I have seen it').count()).toBe(0);
    await expect.poll(focused).toBe('H1');
  });

  const waits: [name: string, until: string, says: RegExp][] = [
    ['Tonight, 20:00', '2026-03-01T07:00:00.000Z', /Quiet until 20:00\.$/],
    ['Tomorrow, 08:00', '2026-03-01T19:00:00.000Z', /Quiet until 2 March at 08:00\.$/],
    [
      'For a week, until Sunday 8 March',
      '2026-03-07T19:00:00.000Z',
      /Quiet until 8 March at 08:00\.$/,
    ],
  ];
  for (const [name, until, says] of waits) {
    it(`quiet: ${name}`, async () => {
      const page = await open(houseWith([alert({})]), '/alerts/a1');
      expect(await button(name).count()).toBe(0);
      await button('Quiet until…').click();
      await button(name).click();
      await page.getByText(says).waitFor();
      expect(service.answers).toEqual([['a1', 'shelve', { until }]]);
      expect(await button(name).count()).toBe(0);
    });
  }

  it('quiet until a date of one’s own, which has to be one that is allowed; and told again', async () => {
    const page = await open(houseWith([alert({})]), '/alerts/a1');
    await button('Quiet until…').click();
    const field = page.getByLabel('Or until a date');
    for (const wrong of ['', '2026-03-01', '2027-03-02']) {
      await field.fill(wrong);
      await button('Quiet until that date').click();
      await page.getByText('Choose a date from tomorrow on, within a year.').waitFor();
    }
    expect(service.answers).toEqual([]);
    await field.fill('2026-04-20');
    await button('Quiet until that date').click();
    await page.getByText(/Quiet until 20 April at 08:00\.$/).waitFor();
    expect(await page.locator('.wrong').count()).toBe(0);

    await button('Quiet until…').click();
    await button('Tell me again').click();
    await page.getByText('Quiet until 20 April').waitFor({ state: 'detached' });
    expect(service.answers[0]).toEqual(['a1', 'shelve', { until: '2026-04-19T20:00:00.000Z' }]);
    expect(service.answers).toHaveLength(2);
  });

  it('not a fault: needs a reason, and with it the alert is over', async () => {
    const page = await open(houseWith([alert({})]), '/alerts/a1');
    await button('Not a fault').click();
    await page.getByLabel('Why is it none?').fill('   ');
    await button('End it: not a fault').click();
    await page.getByText('Say in a few words why it is none.').waitFor();
    expect(service.answers).toEqual([]);
    await page.getByLabel('Why is it none?').fill(' The pump was out for a new seal. ');
    await page.keyboard.press('Enter');
    await page.getByText('until 14:30: it stood for 4 h 25 min.').waitFor();
    expect(service.answers).toEqual([
      ['a1', 'not-a-fault', { why: 'The pump was out for a new seal.' }],
    ]);
    await page.getByRole('link', { name: 'All alerts' }).click();
    await page.getByText('Nothing is wrong that these sensors could show.').waitFor();
    expect(await over()).toContain('March 2026 The pump is not turning');
  });

  it('are not offered to a phone that may only look', async () => {
    const script = houseWith([alert({})]);
    script.right = 'viewer';
    const page = await open(script, '/alerts/a1');
    await page
      .getByText('This phone may look, but not answer. Ask whoever set Sunsteep up.')
      .waitFor();
    expect(await page.locator('main button').count()).toBe(0);
    // What it does for itself it may.
    await page.getByRole('checkbox').first().check();
  });

  it('are refused in words where the right has gone meanwhile', async () => {
    const page = await open(houseWith([alert({})]), '/alerts/a1');
    await button('I have seen it').waitFor();
    service.script.right = 'viewer';
    await button('I have seen it').click();
    await page.getByText('This phone may look, but not answer.').waitFor();
    expect(await page.locator('main button').count()).toBe(0);
  });

  it('that are not answered say that nobody knows, and can be given again', async () => {
    const page = await open(houseWith([alert({})]), '/alerts/a1');
    await button('I have seen it').waitFor();
    await service.stop();
    await button('I have seen it').click();
    await page.getByText('Sunsteep did not answer: whether it arrived is not known.').waitFor();
    await service.start();
    await service.watched('kowhai');
    await button('I have seen it').click();
    await page.getByText(/Somebody has known since 14:3\d\.$/).waitFor();
    expect(await page.locator('.wrong').count()).toBe(0);
  });
});

describe('news', () => {
  it('of an alert that is raised, grows worse and ends is shown as it comes', async () => {
    const page = await open(houseWith([]));
    await service.watched('kowhai');
    service.tellAlert(alert({ severity: 'look' }));
    await page.getByText('One thing to look at when you can.').waitFor();
    service.tellAlert(alert({ severity: 'danger' }));
    await page.getByText('One danger to see to first.').waitFor();
    service.tellAlert(alert({ until: '2026-03-01T01:30:00.000Z' }));
    await page.getByText('Nothing is wrong that these sensors could show.').waitFor();
    expect(await over()).toContain('stood for 4 h 25 min');
  });

  it('reaches the alert that is open', async () => {
    const page = await open(houseWith([alert({})]), '/alerts/a1');
    await service.watched('kowhai');
    service.tell('kowhai', told(situation({ alerts: [alert({ costKwh: 4.4 })] })));
    await page.getByText('About 4.4 kWh of sun has passed by.').waitFor();
    service.tellAlert(alert({ until: '2026-03-01T01:30:00.000Z' }));
    await page.getByText('From 10:05 until 14:30: it stood for 4 h 25 min.').waitFor();
    expect(await page.locator('main button').count()).toBe(0);
  });

  it('of an end stands, whatever older news comes after it', async () => {
    const page = await open(houseWith([alert({})], endedAlerts));
    await page.locator('.ended').waitFor();
    await service.watched('kowhai');
    service.tellAlert(alert({ until: '2026-03-01T01:30:00.000Z' }));
    await page.getByText('Nothing is wrong').waitFor();
    service.tell('kowhai', told(situation({ alerts: [alert({})], powerW: 700 })));
    service.tell(
      'kowhai',
      told(situation({ alerts: [alert({ id: 'a2', severity: 'note' })], powerW: 700 })),
    );
    await page.getByText('One thing for your notes.').waitFor();
    expect(await page.locator('.block').count()).toBe(1);
  });
});

describe('out of reach', () => {
  it('what was known last stays, with its age; what was missed is there afterwards', async () => {
    const page = await open(houseWith([alert({})], endedAlerts), '/alerts', {}, present);
    await page.locator('.ended').waitFor();
    await service.watched('kowhai');
    await service.stop();
    await page.getByText(/^What stands here is from 14:30: .* for \d+\ss\.$/).waitFor();
    await page.clock.fastForward(720_000);
    await page.getByText(/Sunsteep has not answered for 12\smin\.$/).waitFor();
    expect(await sentenceOn(page)).toBe('One thing to do today.');
    expect(await over()).toContain('March 2026');

    service.at = new Date(Date.parse(present) + 720_000).toISOString();
    const ended = alert({ until: '2026-03-01T01:35:00.000Z' });
    service.script.alerts.kowhai = [alert({ id: 'a2', severity: 'look' }), ended];
    service.script.now.kowhai = told(
      situation({ alerts: [alert({ id: 'a2', severity: 'look' })] }),
    );
    await service.start();
    await page.clock.fastForward(10_000);
    await page.getByText('One thing to look at when you can.').waitFor();
    await expect.poll(over).toContain('stood for 4 h 30 min');
    expect(await page.locator('.lost').count()).toBe(0);
  });

  it('nobody says for long that nothing is wrong', async () => {
    const page = await open(houseWith([]), '/alerts', {}, present);
    await service.watched('kowhai');
    await service.stop();
    await page.getByText(/^What stands here is from 14:30/).waitFor();
    await page.clock.fastForward(150_000);
    await page.getByText('No word from Sunsteep since 14:30.').waitFor();
    expect(await page.getByText('Nothing is wrong').count()).toBe(0);
  });

  it('those that are over are said to be missing where they cannot be had', async () => {
    const script = houseWith([alert({})], endedAlerts);
    service = new ScriptedService(inject('page'), script);
    await service.start();
    phone = await newPhone(browser, { locale: 'en-GB' });
    const { page } = phone;
    await page.route('**/api/tubs/kowhai/alerts', (route) => route.abort());
    await page.goto(`${service.url}/alerts`);
    await page.getByText('Those that are over cannot be had just now.').waitFor();
    expect(await sentenceOn(page)).toBe('One thing to do today.');
  });

  it('the screen itself is fetched when it is opened, and again where that failed', async () => {
    const page = await open(houseWith([alert({})]), '/');
    await service.watched('kowhai');
    const fetched: string[] = [];
    page.on('request', (request) => fetched.push(request.url()));
    expect(
      await page.evaluate(() =>
        performance.getEntriesByType('resource').some(({ name }) => /alerts-.*js/.test(name)),
      ),
    ).toBe(false);
    await service.stop();
    await page.getByText(/^not live since/).waitFor();
    await page.getByRole('navigation').getByRole('link', { name: 'Alerts' }).click();
    await page.getByText('This part could not be fetched.').waitFor();
    await service.start();
    await page.getByText('One thing to do today.').waitFor();
    expect(fetched.some((url) => /alerts-.*js/.test(url))).toBe(true);
  });
});

describe('the keyboard alone', () => {
  it('opens an alert, ticks a step, keeps it quiet and gives a reason, each with a frame around it', async () => {
    const page = await open(houseWith([alert({})]));
    await page.locator('body').click({ position: { x: 2, y: 2 } });
    const reached: string[] = [];
    const tab = async () => {
      await page.keyboard.press('Tab');
      const focus = await page.evaluate(() => {
        const node = document.activeElement as HTMLElement;
        const { outlineStyle, outlineWidth } = getComputedStyle(node);
        const { bottom } = node.getBoundingClientRect();
        const bar = document.querySelector('nav')!.getBoundingClientRect();
        const name = (node.closest('label') ?? node).textContent!;
        return {
          name,
          framed: outlineStyle === 'solid' && Number.parseFloat(outlineWidth) >= 3,
          hidden: bottom > bar.top + 1 && !node.closest('nav'),
        };
      });
      expect(focus).toMatchObject({ framed: true, hidden: false });
      reached.push(spoken(focus.name));
    };
    await tab();
    await page.keyboard.press('Enter');
    await button('I have seen it').waitFor();
    await expect.poll(focused).toBe('H1');
    await tab();
    await page.keyboard.press('Space');
    expect(await page.getByRole('checkbox').first().isChecked()).toBe(true);
    await tab();
    await tab();
    await tab();
    await tab();
    await page.keyboard.press('Enter');
    await tab();
    await page.keyboard.press('Space');
    await page.getByText(/Quiet until 20:00\.$/).waitFor();
    await expect.poll(focused).toBe('H1');
    for (let n = 0; n < 6; n++) await tab();
    await page.keyboard.press('Enter');
    await page.keyboard.press('Tab');
    await page.keyboard.type('It was out.');
    await tab();
    await page.keyboard.press('Enter');
    await page.getByText(/it stood for/).waitFor();
    expect(reached).toEqual([
      'The pump is not turning, though the sun is out.',
      '1Is the pump’s plug in, and its small fuse whole?',
      '2Is there 12 V at the pump’s plug? If not, it is the cable or the controller.',
      '3With the power off, does the rotor turn by hand? Leaf or scale can block it.',
      'I have seen it',
      'Quiet until…',
      'Tonight, 20:00',
      '1Is the pump’s plug in, and its small fuse whole?',
      '2Is there 12 V at the pump’s plug? If not, it is the cable or the controller.',
      '3With the power off, does the rotor turn by hand? Leaf or scale can block it.',
      'I have seen it',
      'Quiet until…',
      'Not a fault',
      'End it: not a fault',
    ]);
    expect(service.answers.map(([, verb]) => verb)).toEqual(['shelve', 'not-a-fault']);
  });
});

import { AxeBuilder } from '@axe-core/playwright';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, inject, it, vi } from 'vitest';
import { dayWith, evening, house, told } from './house.ts';
import { february, logEntries, monthWith, yearOfMonths } from './months.ts';
import { arrived, newPhone, startBrowser } from './phone.ts';
import { type Script, ScriptedService } from './scripted-service.ts';
import { alert, day, endedAlerts, situation, standingAlerts, value } from './situation.ts';

vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

let browser: Browser;

beforeAll(async () => {
  browser = await startBrowser();
});

afterAll(async () => {
  await browser?.close();
});

const twoTubs = {
  items: [
    { id: 'kowhai', name: 'Kōwhai Terrace', setUp: true },
    { id: 'rata', name: 'Rātā Point', setUp: true },
  ],
  next: null,
  demo: false,
};

/** Everything that the page can look like, each with all that opens opened. */
const looks: Record<string, { script: () => Script; path?: string }> = {
  today: { script: () => house() },
  'an estimate with gaps and losses': {
    script: () =>
      house({
        days: { '2026-03-01': dayWith({ basis: 'estimated', gap: [40, 44], lost: true }) },
      }),
  },
  'something to act on': {
    script: () =>
      house({
        now: { kowhai: told(situation({ alerts: [alert({ caution: 'Hot water and steam.' })] })) },
      }),
  },
  'an evening that may be too hot, and a start of the backup on another day': {
    script: () =>
      house({
        now: { kowhai: told(situation({ day: { ...day, currency: 'NZD' } })) },
        evenings: {
          kowhai: {
            ...evening,
            at: '2026-03-02T07:00:00.000Z',
            lowC: 36.2,
            highC: 40.9,
          },
        },
      }),
  },
  danger: {
    script: () =>
      house({
        now: {
          kowhai: told(
            situation({
              values: { 'tub/temperature': value(42.3, 8) },
              figures: { tubC: 42.3 },
              alerts: [
                alert({ severity: 'danger', fault: 'water-too-hot', caution: 'Above 40 °C.' }),
              ],
            }),
          ),
        },
      }),
  },
  yesterday: { script: () => house(), path: '/day/2026-02-28' },
  'nothing heard yet': {
    script: () => {
      const script = house({ tubs: { items: [], next: null, demo: false } });
      script.connect.refused = [
        { address: '192.0.2.40', user: 'x', at: new Date().toISOString(), why: 'wrong password' },
      ];
      return script;
    },
  },
  'no place yet': {
    script: () =>
      house({
        now: {
          kowhai: told(
            situation({
              figures: { timeZone: null, missing: ['place/latitude', 'place/longitude'] },
            }),
          ),
        },
      }),
  },
  'several tubs in a demonstration': {
    script: () =>
      house({
        tubs: {
          items: [
            { id: 'kowhai', name: 'Kōwhai Terrace', setUp: true },
            { id: 'rata', name: 'Rātā Point', setUp: true },
          ],
          next: null,
          demo: true,
        },
      }),
    path: '/tubs',
  },
  alerts: {
    script: () =>
      house({
        now: { kowhai: told(situation({ alerts: standingAlerts })) },
        alerts: { kowhai: [...standingAlerts, ...endedAlerts] },
      }),
    path: '/alerts',
  },
  'no alerts': { script: () => house({ alerts: { kowhai: endedAlerts } }), path: '/alerts' },
  'an opened alert': {
    script: () =>
      house({
        now: { kowhai: told(situation({ alerts: standingAlerts })) },
        alerts: { kowhai: standingAlerts },
      }),
    path: '/alerts/a1',
  },
  'an opened danger': {
    script: () =>
      house({
        now: { kowhai: told(situation({ alerts: standingAlerts })) },
        alerts: { kowhai: standingAlerts },
      }),
    path: '/alerts/d1',
  },
  months: { script: () => house({ months: { kowhai: yearOfMonths } }), path: '/months' },
  'a bad month, estimated, without a price': {
    script: () =>
      house({
        months: {
          kowhai: [
            monthWith('2026-02', 12),
            monthWith('2026-03', -3, { savedMoney: null, basis: 'estimated' }),
          ],
        },
      }),
    path: '/months',
  },
  'an opened month': {
    script: () => house({ months: { kowhai: yearOfMonths }, days: { ...february(2026, 6.2, 5) } }),
    path: '/months/2026-02',
  },
  more: { script: () => house(), path: '/more' },
  log: { script: () => house({ log: { kowhai: logEntries } }), path: '/log' },
  phones: { script: () => house(), path: '/phones' },
  'a link for one more phone': {
    script: () => house({ tubs: twoTubs }),
    path: '/tubs/kowhai/phones',
  },
  'phones on a phone that may look': { script: () => house({ right: 'viewer' }), path: '/phones' },
  notices: { script: () => house(), path: '/notices' },
  'a phone not let in': { script: () => house({ paired: false }) },
};

/** What a look opens beside what opens by itself. */
const unfold: Record<string, (page: Page) => Promise<void>> = {
  'an opened alert': async (page) => {
    await page.getByRole('checkbox').first().check();
    await page.getByRole('button', { name: 'Quiet until…' }).click();
    await page.getByRole('button', { name: 'Quiet until that date' }).click();
    await page.locator('.wrong').waitFor();
  },
  log: async (page) => {
    await page.getByRole('button', { name: 'Bathing until…' }).click();
    await page.locator('#log-until').fill('');
    await page.locator('#log-from').fill('');
    await page.getByRole('button', { name: 'Enter it' }).click();
    await page.locator('.wrong').waitFor();
    await page.getByRole('button', { name: /^Remove: Filter/ }).click();
  },
  phones: async (page) => {
    await page.getByRole('button', { name: 'Rename Android tablet' }).click();
    await page.getByLabel('Name', { exact: true }).fill('');
    await page.getByRole('button', { name: 'Save the name' }).click();
    await page.locator('.wrong').waitFor();
    await page.getByRole('button', { name: 'Let one more phone in…' }).click();
  },
  'a link for one more phone': async (page) => {
    await page.getByRole('button', { name: 'Remove Mere’s phone' }).click();
    await page.getByRole('button', { name: 'Let one more phone in…' }).click();
    await page.getByRole('button', { name: 'Make the link' }).click();
    await page.locator('svg.code').waitFor();
  },
  months: async (page) => page.locator('tbody').waitFor(),
  'an opened month': async (page) => page.locator('tbody').waitFor(),
  'an opened danger': async (page) => {
    await page.getByRole('button', { name: 'Not a fault' }).click();
  },
};

interface Shown {
  page: Page;
  /** Puts the phone and its service away, and tells if the page told of trouble. */
  done(): Promise<void>;
}

async function show(
  look: keyof typeof looks,
  before: (page: Page) => Promise<void> = async () => {},
): Promise<Shown> {
  const { script, path = '/' } = looks[look]!;
  const service = new ScriptedService(inject('page'), script());
  await service.start();
  const { page, context, troubles } = await newPhone(browser, { locale: 'en-GB' });
  const done = async () => {
    await context.close();
    await service.stop();
    expect(troubles).toEqual([]);
  };
  try {
    await before(page);
    await page.goto(service.url + path);
    await arrived(page);
    const chart = /^(today|an estimate|something to act on|danger|yesterday)/.test(look);
    if (chart) await page.locator('canvas[data-drawn]').waitFor();
    if (chart && path === '/') await page.getByText(/^Tonight at/).waitFor();
    if (look === 'nothing heard yet') await page.locator('.refused').waitFor();
    await unfold[look]?.(page);
    for (const summary of await page.locator('summary').all()) await summary.click();
  } catch (error) {
    await done();
    throw error;
  }
  return { page, done };
}

async function withPage(
  look: keyof typeof looks,
  use: (page: Page) => Promise<void>,
  before?: (page: Page) => Promise<void>,
): Promise<void> {
  const shown = await show(look, before);
  try {
    await use(shown.page);
  } finally {
    await shown.done();
  }
}

/** Grows all text, as a person's own setting does. */
const grown = async (page: Page): Promise<void> => {
  await page.addInitScript(() => {
    document.addEventListener('readystatechange', () => {
      document.documentElement.style.fontSize = '200%';
    });
  });
};

/** What is wider than the screen, or reaches beyond it. */
const beyondTheScreen = (page: Page) =>
  page.evaluate(() => {
    const { scrollWidth, clientWidth } = document.documentElement;
    const beyond = [...document.querySelectorAll('body *')].filter((node) => {
      const { right, left, width } = node.getBoundingClientRect();
      return width > 1 && (right > clientWidth + 1 || left < -1);
    });
    const told = beyond.map((node) => node.outerHTML);
    return scrollWidth > clientWidth ? [`${scrollWidth} of ${clientWidth} px`, ...told] : told;
  });

const sizes = {
  '320 px': { width: 320, height: 640 },
  '390 px': { width: 390, height: 844 },
  '1280 px': { width: 1280, height: 800 },
};

async function fits(page: Page): Promise<void> {
  for (const [name, size] of Object.entries(sizes)) {
    await page.setViewportSize(size);
    await expect.poll(() => beyondTheScreen(page), { message: name }).toEqual([]);
  }
}

/** The checker's name for text at 7:1. */
const strongContrast = 'color-contrast-enhanced';

describe.each(Object.keys(looks))('%s', (look) => {
  let shown: Shown;
  let page: Page;

  beforeAll(async () => {
    shown = await show(look);
    page = shown.page;
  });

  afterAll(() => shown?.done());

  it('has type of 17 px and more to read, and 48 px for every finger', async () => {
    const { small, narrow } = await page.evaluate(() => {
      const seen = (node: Element) => {
        const { width, height } = node.getBoundingClientRect();
        return width > 1 && height > 1;
      };
      const hasText = (node: Element) =>
        [...node.childNodes].some(({ nodeType, nodeValue }) => nodeType === 3 && nodeValue?.trim());
      const small = [...document.querySelectorAll('body *:not(.legend *)')]
        .filter((node) => seen(node) && hasText(node))
        .filter((node) => Number.parseFloat(getComputedStyle(node).fontSize) < 17)
        .map((node) => node.outerHTML);
      const narrow = [...document.querySelectorAll('a, button, summary, select, input, label')]
        .filter(seen)
        // A radio button or a box is pressed by its label.
        .filter((node) => !node.matches('[type=radio], [type=checkbox], .field > label'))
        .filter((node) => node.getBoundingClientRect().height < 48)
        .map((node) => node.outerHTML);
      return { small, narrow };
    });
    expect(small).toEqual([]);
    expect(narrow).toEqual([]);
  });

  it('is found without fault at WCAG 2.2 AA, and its text at 7:1, in the light and in the dark', async () => {
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      const found = await new AxeBuilder({ page })
        .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
        .options({ rules: { [strongContrast]: { enabled: true } } })
        .analyze();
      const faults = found.violations.map(({ id, nodes }) => [
        id,
        nodes.map(({ html, failureSummary }) => [html, failureSummary]),
      ]);
      expect(faults, colorScheme).toEqual([]);
      const ofText = ({ id }: { id: string }) => id === strongContrast;
      expect(found.incomplete.filter(ofText), colorScheme).toEqual([]);
      expect(found.passes.length).toBeGreaterThan(10);
      const texts = found.passes.filter(ofText).flatMap(({ nodes }) => nodes);
      expect(texts.length).toBeGreaterThan(3);
    }
  });

  it('fits 320, 390 and 1280 px without a sideways scroll, and nothing is cut off', () =>
    fits(page));

  it('fits as well with text at 200 %', () => withPage(look, fits, grown));
});

it('leaves the screen to the page where text is so large that the way to others needs rows', async () => {
  const hidden = (page: Page) =>
    page.locator('nav.screens').evaluate((nav) => {
      const { top } = nav.getBoundingClientRect();
      return Math.max(0, innerHeight - top) / innerHeight;
    });
  const use = async (page: Page) => {
    await page.setViewportSize(sizes['320 px']);
    await page.evaluate(() => scrollTo(0, 0));
    expect(await hidden(page)).toBe(0);
  };
  await withPage('today', use, grown);
  await withPage('today', async (page) => {
    await page.setViewportSize(sizes['320 px']);
    expect(await hidden(page)).toBeGreaterThan(0.05);
    expect(await hidden(page)).toBeLessThan(0.2);
  });
});

describe('the keyboard alone', () => {
  it('reaches everything that can be pressed, each with a frame around it', async () => {
    await withPage('today', async (page) => {
      const reached: string[] = [];
      await page.evaluate(() => {
        for (const open of document.querySelectorAll('details')) open.open = false;
      });
      await page.locator('body').click({ position: { x: 2, y: 2 } });
      for (let n = 0; n < 5; n++) {
        await page.keyboard.press('Tab');
        const focus = await page.evaluate(() => {
          const node = document.activeElement!;
          const { outlineStyle, outlineWidth } = getComputedStyle(node);
          const { bottom } = node.getBoundingClientRect();
          const bar = document.querySelector('nav')!.getBoundingClientRect();
          const hidden = bottom > bar.top + 1 && !node.closest('nav');
          return { name: node.textContent!.trim(), outlineStyle, outlineWidth, hidden };
        });
        reached.push(focus.name);
        expect(focus.outlineStyle).toBe('solid');
        expect(Number.parseFloat(focus.outlineWidth)).toBeGreaterThanOrEqual(3);
        expect(focus.hidden).toBe(false);
      }
      expect(reached).toEqual([
        'The same as a table',
        'Yesterday',
        'Units: °C, litres, 24 hours',
        'Today',
        'Alerts',
      ]);
    });
  });

  it('opens the table, steps back a day and comes back', async () => {
    await withPage('today', async (page) => {
      await page.evaluate(() => {
        for (const open of document.querySelectorAll('details')) open.open = false;
      });
      await page.locator('body').click({ position: { x: 2, y: 2 } });
      await page.keyboard.press('Tab');
      await page.keyboard.press('Enter');
      await page.locator('table').waitFor();
      await page.keyboard.press('Tab');
      await page.keyboard.press('Enter');
      await page.getByText('yesterday.').waitFor();
      await page.getByRole('link', { name: 'Today' }).first().press('Enter');
      await page.getByText('The sun is heating your tub.').waitFor();
      const focus = await page.evaluate(() => document.activeElement!.tagName);
      expect(['H1', 'A']).toContain(focus);
    });
  });
});

describe('the chart', () => {
  /** Colours of the canvas's pixels, as counts by name of what they stand for. */
  const pixels = (page: Page) =>
    page.locator('canvas').evaluate((canvas: HTMLCanvasElement) => {
      const { data } = canvas.getContext('2d')!.getImageData(0, 0, canvas.width, canvas.height);
      const style = getComputedStyle(canvas);
      const wanted = ['sun', 'water', 'night', 'muted', 'ink'].map((name) => {
        const hex = style.getPropertyValue(`--${name}`).trim();
        return [name, Number.parseInt(hex.slice(1), 16)] as const;
      });
      const counts: Record<string, number> = {};
      for (let i = 0; i < data.length; i += 4) {
        if (data[i + 3]! < 255) continue;
        const colour = (data[i]! << 16) | (data[i + 1]! << 8) | data[i + 2]!;
        const found = wanted.find(([, each]) => each === colour);
        if (found) counts[found[0]] = (counts[found[0]] ?? 0) + 1;
      }
      return counts;
    });

  it('draws sun, water and night in their own colours, in the light and in the dark', async () => {
    await withPage('today', async (page) => {
      const light = await pixels(page);
      for (const name of ['sun', 'water', 'night', 'ink']) {
        expect(light[name], name).toBeGreaterThan(100);
      }
      await page.emulateMedia({ colorScheme: 'dark' });
      await expect.poll(async () => (await pixels(page)).sun ?? 0).toBeGreaterThan(100);
      expect((await pixels(page)).night).toBeGreaterThan(100);
    });
  });

  it('leaves the water’s line open where nothing was heard, and draws less sun for an estimate', async () => {
    let whole = 0;
    let full = 0;
    await withPage('today', async (page) => {
      const counts = await pixels(page);
      whole = counts.water!;
      full = counts.sun!;
    });
    await withPage('an estimate with gaps and losses', async (page) => {
      const counts = await pixels(page);
      expect(counts.water).toBeLessThan(whole);
      expect(counts.sun).toBeLessThan(0.7 * full);
    });
  });
});

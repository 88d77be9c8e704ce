import type { AddressInfo } from 'node:net';
import { AxeBuilder } from '@axe-core/playwright';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, inject, it, vi } from 'vitest';
import { asScript, type House, openHouse } from '../service/serve/house.ts';
import { kowhai } from '../service/serve/samples.ts';
import {
  dates,
  dayOf,
  gaps,
  march,
  type Paper,
  put,
  wholeMarch,
} from '../service/serve/sheet-house.ts';
import { newPhone, startBrowser } from './phone.ts';

vi.setConfig({ testTimeout: 60_000, hookTimeout: 120_000 });

let browser: Browser;
let house: House;
let url: string;

beforeAll(async () => {
  browser = await startBrowser();
  house = await openHouse({ webFolder: inject('page') });
  await house.app.listen({ host: '127.0.0.1', port: 0 });
  url = `http://127.0.0.1:${(house.app.server.address() as AddressInfo).port}`;
});

afterAll(async () => {
  await browser?.close();
  await house?.close();
});

/** As much of everything as a month can hold, in the longest words. */
const full: Paper = {
  ...wholeMarch,
  days: dates('2026-03', 31)
    .filter((date) => Number(date.slice(8)) % 2 === 1)
    .map((date) => dayOf(date, Number(date.slice(8)) % 3 === 0 ? { savedKwh: null } : {})),
  month: { ...march, days: 16, basis: 'mixed', notCounted: gaps(31) },
  log: dates('2026-03', 31).map((date) => ({
    ...{ kind: 'flow-confirmed' as const, from: `${date}T06:00:00Z` },
    until: `${date}T07:00:00Z`,
    note: 'Wide words: WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW '.repeat(20),
  })),
};

const papers: Record<string, Paper> = {
  'a month of 31 days': wholeMarch,
  'a month of which much is to be told': full,
  'a month that has just begun': {
    ...wholeMarch,
    ...{ days: [dayOf('2026-03-01')], at: '2026-03-01T05:00:00Z' },
    month: { ...march, days: 1, basis: 'estimated', savedKwh: null, usefulKwh: null },
  },
};

async function withSheet(
  paper: Paper,
  use: (page: Page, troubles: string[]) => Promise<void>,
  query = '',
): Promise<void> {
  put(paper, house);
  house.parts.demo = paper === full;
  const phone = await newPhone(browser);
  try {
    await phone.context.setExtraHTTPHeaders(asScript);
    await phone.page.goto(`${url}/api/tubs/kowhai/months/2026-03/sheet${query}`);
    await phone.page.evaluate(() => document.fonts.ready);
    await use(phone.page, phone.troubles);
    expect(phone.troubles).toEqual([]);
  } finally {
    await phone.context.close();
  }
}

const formats = ['A4', 'Letter'] as const;

/** Pages of a PDF: each is an object of its own. */
const pagesIn = (pdf: Buffer): number =>
  pdf.toString('latin1').match(/\/Type\s*\/Page(?![a-zA-Z])/g)?.length ?? 0;

/** Millimetres of paper between the margins. */
const room = { A4: [186, 273], Letter: [191.9, 255.4] } as const;
const pxPerMm = 96 / 25.4;

describe.each(Object.keys(papers))('%s', (name) => {
  it('is one page of A4 and of Letter, and nothing of it is cut off', async () => {
    await withSheet(papers[name]!, async (page) => {
      for (const format of formats) {
        const pdf = await page.pdf({ format, preferCSSPageSize: false });
        expect(pagesIn(pdf), format).toBe(1);
        await page.emulateMedia({ media: 'print' });
        const [width, height] = room[format].map((mm) => Math.floor(mm * pxPerMm));
        await page.setViewportSize({ width: width!, height: height! });
        const { needs, has, wide } = await page.locator('.sheet').evaluate((sheet) => ({
          needs: sheet.scrollHeight,
          has: sheet.clientHeight,
          wide: sheet.scrollWidth - sheet.clientWidth,
        }));
        console.info(`${name}, ${format}: ${Math.round(needs / pxPerMm)} of 254 mm`);
        expect(needs, format).toBeLessThanOrEqual(has + 1);
        expect(needs, format).toBeLessThan(254 * pxPerMm);
        expect(wide, format).toBeLessThanOrEqual(0);
        await page.emulateMedia({ media: null });
      }
    });
  });
});

it('more than a page would be told by the counting of pages', async () => {
  await withSheet(wholeMarch, async (page) => {
    await page.evaluate(() => {
      const long = document.createElement('div');
      for (let n = 0; n < 200; n++) {
        long.append(Object.assign(document.createElement('p'), { textContent: n }));
      }
      document.body.append(long);
    });
    expect(pagesIn(await page.pdf({ format: 'A4' }))).toBeGreaterThan(1);
  });
});

it('is set in its own type, and shows a phone what to do without printing that', async () => {
  await withSheet(wholeMarch, async (page) => {
    const family = await page.evaluate(() => document.fonts.check('9pt "Atkinson Hyperlegible"'));
    const loaded = await page.evaluate(
      () => [...document.fonts].filter(({ status }) => status === 'loaded').length,
    );
    expect([family, loaded > 1]).toEqual([true, true]);
    expect(await page.locator('.screen').isVisible()).toBe(true);
    await page.emulateMedia({ media: 'print' });
    expect(await page.locator('.screen').isVisible()).toBe(false);
    await page.emulateMedia({ media: null });
    await page.getByRole('link', { name: 'Back to the month' }).click();
    expect(new URL(page.url()).pathname).toBe('/tubs/kowhai/months/2026-03');
  });
});

it('is read on a phone without a sideways scroll', async () => {
  await withSheet(full, async (page) => {
    for (const width of [320, 390, 1280]) {
      await page.setViewportSize({ width, height: 844 });
      const over = await page.evaluate(() => {
        const { scrollWidth, clientWidth } = document.documentElement;
        return scrollWidth - clientWidth;
      });
      expect(over, `${width} px`).toBeLessThanOrEqual(0);
    }
  });
});

it('is found without fault at WCAG 2.2 AA, and its text at 7:1', async () => {
  await withSheet(full, async (page) => {
    const axe = (builder: AxeBuilder) => builder.analyze();
    const aa = await axe(
      new AxeBuilder({ page }).withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']),
    );
    expect(aa.violations.map(({ id, nodes }) => [id, nodes.map(({ html }) => html)])).toEqual([]);
    const text = await axe(new AxeBuilder({ page }).withRules(['color-contrast-enhanced']));
    expect(text.violations.flatMap(({ nodes }) => nodes.map(({ html }) => html))).toEqual([]);
    expect(text.passes.flatMap(({ nodes }) => nodes).length).toBeGreaterThan(20);
  });
});

it('runs nothing that stands in a name, and takes a long one in one line', async () => {
  const before = house.watching.versions;
  const name = `<img src=x onerror="document.title='run'"><script>document.title='run'</script>`;
  house.watching.versions = [{ setup: { tubs: [{ ...kowhai, name: name.repeat(3) }] }, from: 0 }];
  await withSheet(wholeMarch, async (page) => {
    expect(await page.title()).toContain('<img src=x');
    expect(await page.locator('main img, main script').count()).toBe(0);
    expect(pagesIn(await page.pdf({ format: 'Letter' }))).toBe(1);
    const lines = await page.locator('h1').evaluate((h1) => h1.getClientRects().length);
    expect(lines).toBe(1);
  });
  house.watching.versions = before;
});

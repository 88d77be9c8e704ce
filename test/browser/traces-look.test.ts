import { AxeBuilder } from '@axe-core/playwright';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, inject, it, vi } from 'vitest';
import type { House } from '../service/serve/house.ts';
import { arrived, newPhone, type PhoneKind, startBrowser } from './phone.ts';
import { tracesHouse } from './traces-house.ts';

vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

let browser: Browser;
let house: House & { url: string };

beforeAll(async () => {
  browser = await startBrowser();
  house = await tracesHouse(inject('page'));
});

afterAll(async () => {
  await browser?.close();
  await house?.close();
});

const paths = {
  'traces of a day, all unfolded': '/traces',
  'traces of a year': '/traces?span=year',
  'an opened alert with its chart': '/alerts/pump-not-running-20260301t013000z',
};

async function withPage(
  path: string,
  kind: PhoneKind,
  use: (page: Page) => Promise<void>,
  before: (page: Page) => Promise<void> = async () => {},
): Promise<void> {
  const { cookie } = await house.pair();
  const phone = await newPhone(browser, { locale: 'en-GB', ...kind });
  try {
    const [name, value] = cookie.split(/=(.*)/s);
    await phone.context.addCookies([{ name: name!, value: value!, url: house.url }]);
    await before(phone.page);
    await phone.page.goto(house.url + path);
    await arrived(phone.page);
    await phone.page.locator('canvas[data-drawn]').waitFor();
    if (path.startsWith('/traces')) await unfold(phone.page);
    await use(phone.page);
    expect(phone.troubles).toEqual([]);
  } finally {
    await phone.context.close();
  }
}

async function unfold(page: Page): Promise<void> {
  await page.getByRole('slider').press('Home');
  await page.getByRole('button', { name: 'Dates…' }).click();
  await page.getByRole('button', { name: 'Which lines…' }).click();
  for (const summary of await page.locator('summary').all()) await summary.click();
  await page.locator('tbody').first().waitFor();
}

describe.each(Object.entries(paths))('%s', (_, path) => {
  it('is found without fault at WCAG 2.2 AA, and its text at 7:1, in the light and in the dark', async () => {
    await withPage(path, {}, async (page) => {
      for (const colorScheme of ['light', 'dark'] as const) {
        await page.emulateMedia({ colorScheme });
        const aa = await new AxeBuilder({ page })
          .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
          .analyze();
        const faults = aa.violations.map(({ id, nodes }) => [id, nodes.map(({ html }) => html)]);
        expect(faults, colorScheme).toEqual([]);
        expect(aa.passes.length).toBeGreaterThan(10);
        const text = await new AxeBuilder({ page })
          .withRules(['color-contrast-enhanced'])
          .analyze();
        const weak = text.violations.concat(text.incomplete).flatMap(({ nodes }) => nodes);
        expect(
          weak.map(({ html }) => html),
          colorScheme,
        ).toEqual([]);
        expect(text.passes.flatMap(({ nodes }) => nodes).length).toBeGreaterThan(3);
      }
    });
  });

  it('fits 320, 390 and 1280 px, also with text at 200 %, without a sideways scroll', async () => {
    const grown = async (page: Page) => {
      await page.addInitScript(() => {
        document.addEventListener('readystatechange', () => {
          document.documentElement.style.fontSize = '200%';
        });
      });
    };
    const use = async (page: Page) => {
      for (const width of [320, 390, 1280]) {
        await page.setViewportSize({ width, height: 800 });
        await expect.poll(() => beyondTheScreen(page), { message: `${width} px` }).toEqual([]);
      }
    };
    await withPage(path, {}, use);
    await withPage(path, {}, use, grown);
  });

  it('has type of 17 px and more to read, and 48 px for every finger', async () => {
    await withPage(path, {}, async (page) => {
      const { small, narrow } = await page.evaluate(() => {
        const seen = (node: Element) => node.getBoundingClientRect().width > 1;
        const hasText = (node: Element) =>
          [...node.childNodes].some((each) => each.nodeType === 3 && each.nodeValue?.trim());
        const small = [...document.querySelectorAll('body *:not(.legend *)')]
          .filter((node) => seen(node) && hasText(node))
          .filter((node) => Number.parseFloat(getComputedStyle(node).fontSize) < 17);
        const narrow = [...document.querySelectorAll('a, button, summary, select, input, label')]
          .filter(seen)
          .filter((node) => !node.matches('[type=radio], [type=checkbox], .field > label'))
          .filter((node) => node.getBoundingClientRect().height < 48);
        return {
          small: small.map((node) => node.outerHTML),
          narrow: narrow.map((node) => node.outerHTML),
        };
      });
      expect(small).toEqual([]);
      expect(narrow).toEqual([]);
    });
  });
});

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

import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, inject, it, vi } from 'vitest';
import { house, told } from './house.ts';
import { logEntries, yearOfMonths } from './months.ts';
import { newPhone, startBrowser } from './phone.ts';
import { type Pseudo, speak } from './pseudo.ts';
import { type Script, ScriptedService } from './scripted-service.ts';
import { endedAlerts, situation, standingAlerts } from './situation.ts';

vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

let browser: Browser;

beforeAll(async () => {
  browser = await startBrowser();
});

afterAll(async () => {
  await browser?.close();
});

const withAlerts = (): Script =>
  house({
    now: { kowhai: told(situation({ alerts: standingAlerts })) },
    alerts: { kowhai: [...standingAlerts, ...endedAlerts] },
    months: { kowhai: yearOfMonths },
    log: { kowhai: logEntries },
  });

/** Every screen by its address, and what must be there before it is looked at. */
const screens: [path: string, ready: string, script: () => Script][] = [
  ['/', 'canvas[data-drawn]', house],
  ['/day/2026-02-28', 'canvas[data-drawn]', house],
  ['/', '.block.danger', withAlerts],
  ['/alerts', '.ended', withAlerts],
  ['/alerts/a1', '.checks', withAlerts],
  ['/months', 'tbody', withAlerts],
  ['/months/2026-02', 'h1', withAlerts],
  ['/traces', 'h1', withAlerts],
  ['/more', '.rows', house],
  ['/log', '.kinds', withAlerts],
  ['/phones', '.rows', house],
  ['/notices', '.phones', house],
  ['/', 'code.line', () => house({ paired: false })],
];

/** What reaches beyond the screen, or beyond a box that cuts it off. */
const cutOff = (page: Page) =>
  page.evaluate(() => {
    const { scrollWidth, clientWidth } = document.documentElement;
    const told: string[] = scrollWidth > clientWidth ? [`${scrollWidth} of ${clientWidth} px`] : [];
    const scrolls = (node: Element | null): boolean =>
      node !== null &&
      (['auto', 'scroll'].includes(getComputedStyle(node).overflowX) ||
        scrolls(node.parentElement));
    for (const node of document.querySelectorAll<HTMLElement>('body *')) {
      const { left, right, width, height } = node.getBoundingClientRect();
      if (width <= 1 || height <= 1 || node.closest('.unseen, svg') || scrolls(node)) continue;
      const beyond = right > clientWidth + 1 || left < -1;
      const { overflowX } = getComputedStyle(node);
      const clipped = overflowX !== 'visible' && node.scrollWidth > node.clientWidth + 1;
      if (beyond || clipped) told.push(node.outerHTML.slice(0, 300));
    }
    return told;
  });

async function onScreen(
  [path, ready, script]: (typeof screens)[number],
  language: Pseudo,
  use: (page: Page) => Promise<void>,
): Promise<void> {
  const service = new ScriptedService(inject('page'), script());
  await service.start();
  const phone = await newPhone(browser, { locale: 'en-GB', width: 320, height: 640 });
  try {
    await speak(phone.page, language);
    await phone.page.goto(service.url + path);
    await phone.page.locator(ready).first().waitFor();
    for (const summary of await phone.page.locator('summary').all()) await summary.click();
    await use(phone.page);
    expect(phone.troubles).toEqual([]);
  } finally {
    await phone.context.close();
    await service.stop();
  }
}

describe.each(screens)('%s with %s', (...screen) => {
  it('has room for words half as long again at 320 px', async () => {
    await onScreen(screen, 'long', async (page) => {
      expect(await page.locator('h1').textContent()).toMatch(/(\p{L})\1{1}/u);
      await expect.poll(() => cutOff(page)).toEqual([]);
    });
  });

  it('reads from right to left, with numbers and their units in order', async () => {
    await onScreen(screen, 'right-to-left', async (page) => {
      expect(await page.locator('h1').textContent()).toMatch(/[א-ת]{2}/);
      await expect.poll(() => cutOff(page)).toEqual([]);
      expect(await startsAtRight(page)).toEqual({ h1: true, nav: true });
      expect(await backwards(page)).toEqual([]);
    });
  });
});

/** Whether the sentence and the first tab stand at the right. */
const startsAtRight = (page: Page) =>
  page.evaluate(() => {
    const middle = document.documentElement.clientWidth / 2;
    const range = document.createRange();
    const sentence = document.querySelector('h1')!;
    range.selectNodeContents(sentence);
    const edge = sentence.getBoundingClientRect().right;
    const rights = [...range.getClientRects()].map((rect) => rect.right);
    const first = document.querySelector('nav a');
    const right = (box: DOMRect | undefined) => box === undefined || box.right > middle;
    return {
      // a line that begins with a figure has its first words elsewhere
      h1: edge - Math.max(...rights) < 2,
      nav: right(first?.getBoundingClientRect()),
    };
  });

/** Figures whose unit, on the same line, does not stand beside them: bidi takes them apart. */
const backwards = (page: Page) =>
  page.evaluate(() => {
    const wrong: string[] = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const text = node as Text;
      for (const match of text.data.matchAll(
        /\d+(?:[.,]\d+)?[\u00a0 ](?:°[CF]|kWh|kW|W|l\/min)/g,
      )) {
        const range = document.createRange();
        const box = (from: number, to: number) => {
          range.setStart(text, match.index + from);
          range.setEnd(text, match.index + to);
          return range.getBoundingClientRect();
        };
        const figure = /^[\d.,]+/.exec(match[0])![0].length;
        const [digits, unit] = [box(0, figure), box(figure + 1, match[0].length)];
        if (digits.width === 0 || Math.abs(digits.top - unit.top) > 4) continue;
        const gap = Math.max(unit.left - digits.right, digits.left - unit.right);
        if (gap > digits.height) wrong.push(match[0]);
      }
    }
    return wrong;
  });

import { existsSync } from 'node:fs';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';

const executablePath = '/usr/bin/chromium';

/** One real browser for a file of tests. */
export async function startBrowser(): Promise<Browser> {
  if (!existsSync(executablePath)) {
    throw new Error(`There is no ${executablePath}. Install it with: apt-get install chromium`);
  }
  return chromium.launch({
    executablePath,
    args: [
      '--headless',
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
  });
}

export interface PhoneKind {
  width?: number;
  height?: number;
  dark?: boolean;
  locale?: string;
  touch?: boolean;
  timezoneId?: string;
  /** Whether the page may have its worker, which most tests do without. */
  worker?: boolean;
  location?: { latitude: number; longitude: number };
}

/** A phone with nothing kept on it, and what went wrong on it. */
export interface Phone {
  page: Page;
  context: BrowserContext;
  /** Errors that the page or its console told, and requests to anywhere but its own origin. */
  troubles: string[];
}

export async function newPhone(browser: Browser, kind: PhoneKind = {}): Promise<Phone> {
  const context = await browser.newContext({
    viewport: { width: kind.width ?? 390, height: kind.height ?? 844 },
    deviceScaleFactor: 2,
    colorScheme: kind.dark ? 'dark' : 'light',
    locale: kind.locale ?? 'en-NZ',
    timezoneId: kind.timezoneId ?? 'Pacific/Auckland',
    hasTouch: kind.touch ?? false,
    reducedMotion: 'reduce',
    serviceWorkers: kind.worker ? 'allow' : 'block',
    ...(kind.location && { geolocation: kind.location, permissions: ['geolocation'] }),
  });
  const page = await context.newPage();
  page.setDefaultTimeout(15_000);
  const troubles: string[] = [];
  page.on('pageerror', (error) => troubles.push(String(error)));
  page.on('console', (message) => {
    // A service that is away or refuses is told by the browser as an error of its own.
    const expected = /Failed to load resource|^WebSocket /.test(message.text());
    if (message.type() === 'error' && !expected) troubles.push(message.text());
  });
  page.on('request', (request) => {
    const { hostname } = new URL(request.url());
    if (hostname !== '127.0.0.1') troubles.push(`request to ${request.url()}`);
  });
  return { page, context, troubles };
}

/** Text as read: the space that keeps a number and its unit together is a space. */
export const spoken = (text: string | null): string =>
  (text ?? '').replaceAll('\u00a0', ' ').replace(/\s+/g, ' ').trim();

/** What stands on the page in everything that the selector finds, as read. */
export const read = async (page: Page, selector: string): Promise<string> =>
  spoken((await page.locator(selector).allInnerTexts()).join(' '));

/** Resolves once the page says more than that it is being fetched. */
export const arrived = (page: Page): Promise<void> =>
  page.locator('h1').filter({ hasNotText: 'One moment' }).waitFor();

export const sentenceOn = async (page: Page): Promise<string> =>
  spoken(await page.locator('h1').textContent());

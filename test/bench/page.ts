import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Browser, BrowserContext, CDPSession, Page } from 'playwright-core';
import { historyDays } from '../../collector-service/demo/history.ts';
import { demoPoints } from '../../collector-service/demo/sensors.ts';
import { startBrowser } from '../browser/phone.ts';
import { BuiltService } from './built-service.ts';
import { digits, line, Rounds, spread, times, whole } from './rounds.ts';

/** A phone that is slow, on a network that is. */
const CPU = 4; // times slower
const NETWORK = {
  offline: false,
  latency: 150, // ms
  downloadThroughput: 1.6e6 / 8, // bytes/s
  uploadThroughput: 0.75e6 / 8,
};
const ROUNDS = 5;
const HISTORY = historyDays * 24 * 60 * demoPoints.length; // a minute apart

const BARE = 'a bare page with one sentence';
const FIRST = 'first visit: the sentence is painted';
const CHART = 'first visit: the chart is drawn';
const LATER = 'a later visit: the sentence is painted';
const SHIFT = 'layout shift of the first visit';
const TAP = 'a tap on a tab: something answers';

/**
 * The page of the demonstration on a slow phone, by the browser's own trace: when the sentence and the
 * chart are painted on a first visit and on a later one, what shifts, and how long a tap takes.
 */
export async function page(): Promise<void> {
  const service = await BuiltService.start({ demo: true });
  const bare = await barePage();
  const browser = await startBrowser();
  try {
    await service.kept(HISTORY);
    await service.workedOut();
    const rounds = new Rounds();
    for (let round = -1; round < ROUNDS; round++) {
      const add = (name: string, value: number) => round >= 0 && rounds.add(name, value);
      const stranger = await browser.newContext({ viewport: { width: 390, height: 844 } });
      add(BARE, (await visit(browser, stranger, bare.url)).sentence);
      await stranger.close();
      const phone = await pairedPhone(browser, service);
      const first = await visit(browser, phone, service.address);
      add(FIRST, first.sentence);
      add(CHART, first.chart!);
      add(SHIFT, first.shift);
      add(LATER, (await visit(browser, phone, service.address)).sentence);
      add(TAP, await tap(phone, service.address));
      await phone.close();
    }
    for (const name of [BARE, FIRST, CHART, LATER, TAP]) {
      line(name, `${spread(rounds.of(name), whole)} ms`);
    }
    line('', `${spread(rounds.ratio(FIRST, BARE), times)} the bare page, first visit`);
    line('aims', 'sentence 1200 and 600 ms, chart 2500 ms, tap 100 ms');
    line(SHIFT, `${spread(rounds.of(SHIFT), digits)}; aim at none`);
  } finally {
    await browser.close();
    await bare.close();
    await service.stop();
  }
}

/** A page of one sentence, to hold the other against. */
async function barePage(): Promise<{ url: string; close(): Promise<void> }> {
  const html = '<!doctype html><meta charset="utf-8"><title>-</title><h1>Waiting for sun.</h1>';
  const server = createServer((_, response) => {
    response.writeHead(200, { 'content-type': 'text/html' }).end(html);
  });
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    close: () => new Promise((closed) => server.close(() => closed())),
  };
}

/** A phone that was let in, and has nothing of the page in its cache. */
async function pairedPhone(browser: Browser, service: BuiltService): Promise<BrowserContext> {
  const { link } = await service.api<{ link: string }>('/api/phones', {
    method: 'POST',
    body: JSON.stringify({ right: 'full' }),
  });
  const context = await browser.newContext({
    viewport: { width: 390, height: 844 },
    deviceScaleFactor: 2,
    locale: 'en-NZ',
    hasTouch: true,
  });
  const answer = await context.request.post(`${service.address}/api/pair`, {
    data: { code: link.split('#')[1] },
    headers: { origin: service.address },
  });
  if (!answer.ok()) throw new Error(`pairing: ${answer.status()}`);
  return context;
}

/** Marks for the trace, of what a person sees; set in the page before anything of it runs. */
function markWhatIsSeen(): void {
  const afterPaint = (name: string) =>
    requestAnimationFrame(() => setTimeout(() => performance.mark(name)));
  let [said, drawn] = [false, false];
  const look = () => {
    const sentence = document.querySelector('h1')?.textContent ?? '';
    if (!said && sentence !== '' && document.querySelector('.facts, body > h1')) {
      said = true;
      afterPaint('sunsteep sentence');
    }
    const canvas = document.querySelector('canvas');
    if (!drawn && canvas && canvas.width > 300) {
      const pixels = canvas.getContext('2d')?.getImageData(0, 0, canvas.width, canvas.height).data;
      drawn = pixels?.some((value) => value > 0) ?? false;
      if (drawn) afterPaint('sunsteep chart');
    }
    if (!said || !drawn) requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
}

interface Seen {
  /** ms since the visit began */
  sentence: number;
  chart: number | null;
  shift: number;
}

async function visit(browser: Browser, context: BrowserContext, url: string): Promise<Seen> {
  const page = await context.newPage();
  try {
    await slow(context, page);
    // what runs this file keeps functions' names by a helper, which the page lacks
    await page.addInitScript('globalThis.__name = (it) => it');
    await page.addInitScript(markWhatIsSeen);
    await browser.startTracing(page, {
      categories: ['blink.user_timing', 'loading', 'devtools.timeline'],
    });
    await page.goto(url);
    const isBare = (await page.locator('#page').count()) === 0;
    await page.waitForFunction(
      (names) => names.every((name) => performance.getEntriesByName(name).length > 0),
      isBare ? ['sunsteep sentence'] : ['sunsteep sentence', 'sunsteep chart'],
    );
    return seenIn(await browser.stopTracing());
  } finally {
    await page.close();
  }
}

interface TraceEvent {
  name: string;
  ts: number; // µs
  args: { data?: { isLoadingMainFrame?: boolean; score?: number; isOutermostMainFrame?: boolean } };
}

/** What the browser's trace tells of a visit. */
function seenIn(trace: Buffer): Seen {
  const { traceEvents } = JSON.parse(trace.toString()) as { traceEvents: TraceEvent[] };
  const first = (name: string) => traceEvents.find((event) => event.name === name)?.ts ?? null;
  const began = first('navigationStart');
  const sentence = first('sunsteep sentence');
  if (began === null || sentence === null) throw new Error('the trace lacks what was waited for');
  const chart = first('sunsteep chart');
  const shifts = traceEvents.filter(({ name }) => name === 'LayoutShift');
  return {
    sentence: (sentence - began) / 1000,
    chart: chart === null ? null : (chart - began) / 1000,
    shift: shifts.reduce((sum, { args }) => sum + (args.data?.score ?? 0), 0),
  };
}

async function slow(context: BrowserContext, page: Page): Promise<CDPSession> {
  const session = await context.newCDPSession(page);
  await session.send('Network.enable');
  await session.send('Network.emulateNetworkConditions', NETWORK);
  await session.send('Emulation.setCPUThrottlingRate', { rate: CPU });
  return session;
}

/** How long from a tap on a tab to the next frame that shows its answer [ms]. */
async function tap(context: BrowserContext, url: string): Promise<number> {
  const page = await context.newPage();
  try {
    await slow(context, page);
    await page.goto(url);
    await page.locator('.facts').waitFor();
    await page.evaluate(() => {
      addEventListener('pointerdown', () => performance.mark('tapped'), { capture: true });
      new MutationObserver((_, observer) => {
        if (performance.getEntriesByName('tapped').length === 0) return;
        observer.disconnect();
        requestAnimationFrame(() => setTimeout(() => performance.mark('answered')));
      }).observe(document.querySelector('main')!, {
        subtree: true,
        childList: true,
        characterData: true,
      });
    });
    await page.locator('nav.screens a').nth(1).tap();
    await page.waitForFunction(() => performance.getEntriesByName('answered').length > 0);
    return page.evaluate(
      () =>
        performance.getEntriesByName('answered')[0]!.startTime -
        performance.getEntriesByName('tapped')[0]!.startTime,
    );
  } finally {
    await page.close();
  }
}

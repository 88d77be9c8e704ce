import { readFileSync } from 'node:fs';
import type { AddressInfo } from 'node:net';
import { AxeBuilder } from '@axe-core/playwright';
import { strFromU8, unzipSync } from 'fflate';
import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, inject, it, vi } from 'vitest';
import { openHouse } from '../service/serve/house.ts';
import { house } from './house.ts';
import {
  arrived,
  newPhone,
  type Phone,
  type PhoneKind,
  read,
  sentenceOn,
  startBrowser,
} from './phone.ts';
import { type Script, ScriptedService } from './scripted-service.ts';
import { alert, endedAlerts, standingAlerts } from './situation.ts';

vi.setConfig({ testTimeout: 60_000, hookTimeout: 120_000 });

let browser: Browser;

beforeAll(async () => {
  browser = await startBrowser();
});

afterAll(async () => {
  await browser?.close();
});

describe('the screen of hand-over files', () => {
  let service: ScriptedService;
  let phone: Phone;

  afterEach(async () => {
    await phone.context.close();
    await service.stop();
    expect(phone.troubles).toEqual([]);
  });

  async function open(path: string, changes: Partial<Script> = {}, kind: PhoneKind = {}) {
    service = new ScriptedService(inject('page'), house(changes));
    await service.start();
    phone = await newPhone(browser, { locale: 'en-GB', ...kind });
    await phone.page.goto(service.url + path);
    await arrived(phone.page);
    return phone.page;
  }

  const link = () => phone.page.getByRole('link', { name: 'Download the file' });
  const leadsTo = async () => new URL((await link().getAttribute('href'))!, service.url);
  const days = async () => {
    const { pathname, searchParams } = await leadsTo();
    expect(pathname).toBe('/api/tubs/kowhai/handover');
    return [searchParams.get('from'), searchParams.get('to')];
  };

  it('offers the last days where nothing is wrong, and says what is in the file', async () => {
    const page = await open('/handover');
    expect(await sentenceOn(page)).toBe('Some days in one file, for somebody who helps you.');
    expect(await days()).toEqual(['2026-02-23', '2026-03-01']);
    expect(await read(page, 'main')).toContain('No password, and no address');
    expect(await read(page, 'main')).toContain('where it stands');
  });

  it('offers the days around the newest alert, from three before it until today', async () => {
    const page = await open('/handover', { alerts: { kowhai: standingAlerts } });
    await page.getByText('These days lie around the newest alert').waitFor();
    expect(await days()).toEqual(['2026-02-26', '2026-03-01']);
  });

  it('ends with the alert where that is over', async () => {
    const page = await open('/handover', { alerts: { kowhai: [endedAlerts[2]!] } });
    await page.getByText('These days lie around the newest alert').waitFor();
    expect(await days()).toEqual(['2025-12-08', '2025-12-11']);
  });

  it('is reached from More and from an alert, with its days chosen', async () => {
    const old = alert({
      id: 'o9',
      since: '2026-02-10T20:00:00.000Z',
      until: '2026-02-11T20:00:00Z',
    });
    const page = await open('/alerts/o9', { alerts: { kowhai: [standingAlerts[0]!, old] } });
    await page.getByRole('link', { name: /These days in one file/ }).click();
    await page.waitForURL(/handover/);
    await arrived(page);
    expect(await sentenceOn(page)).toBe('Some days in one file, for somebody who helps you.');
    expect(await days()).toEqual(['2026-02-08', '2026-02-12']);
    await page.getByRole('link', { name: 'More', exact: true }).click();
    await page.getByRole('link', { name: 'Hand-over file' }).click();
    await page.getByText('These days lie around the newest alert').waitFor();
    expect(await days()).toEqual(['2026-02-26', '2026-03-01']);
  });

  it('says beside the days why they cannot be handed over', async () => {
    const page = await open('/handover');
    for (const [label, date, says] of [
      ['First day', '2026-03-05', 'The last day comes before the first.'],
      ['First day', '2025-01-01', 'Choose at most 92 days.'],
      ['First day', '', 'Choose a first day and a last one.'],
    ] as const) {
      await page.getByLabel(label).fill(date);
      await page.getByText(says).waitFor();
      expect(await link().count()).toBe(0);
    }
    await page.getByLabel('First day').fill('2026-02-28');
    expect(await days()).toEqual(['2026-02-28', '2026-03-01']);
    await page.getByLabel('Last day').fill('2026-03-09');
    await page.getByText('The last day has not come yet.').waitFor();
  });

  it('tells a viewer that the file is not for them to make', async () => {
    const page = await open('/handover', { right: 'viewer' });
    await page.getByText('This phone may look and not hand over').waitFor();
    expect(await link().count()).toBe(0);
  });

  it('waits while the service is out of reach', async () => {
    const page = await open('/handover');
    await link().waitFor();
    await service.watched('kowhai');
    await service.stop();
    await page.getByText('cannot be reached just now. The file').waitFor();
    expect(await link().count()).toBe(0);
    await service.start();
    await link().waitFor();
  });

  it.each([
    ['light', 390, false],
    ['dark', 390, true],
    ['narrow', 320, false],
    ['wide', 1280, true],
  ] as const)('can be read and used by everybody: %s', async (_what, width, dark) => {
    const page = await open('/handover', { alerts: { kowhai: standingAlerts } }, { width, dark });
    await page.getByText('These days lie around').waitFor();
    const { violations } = await new AxeBuilder({ page })
      .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
      .withRules(['color-contrast-enhanced'])
      .analyze();
    expect(violations.map(({ id, nodes }) => [id, nodes.map(({ html }) => html)])).toEqual([]);
    const sideways = await page.evaluate(() => {
      const { scrollWidth, clientWidth } = document.documentElement;
      return scrollWidth - clientWidth;
    });
    expect(sideways).toBe(0);
    for (const box of [
      await link().boundingBox(),
      await page.getByLabel('Last day').boundingBox(),
    ]) {
      expect(box!.height).toBeGreaterThanOrEqual(48);
    }
  });
});

describe('with the service itself', () => {
  it('a phone downloads the file, whose page is read without the service', async () => {
    const real = await openHouse({ webFolder: inject('page') });
    const setup = real.watching.setup().setup;
    await real.store.addSetup({ from: Number.NEGATIVE_INFINITY, setup, madeAt: real.clock.t });
    const note = '<img src=x onerror=alert(1)> "frog"';
    const entry = { id: 'a', kind: 'remark', from: real.clock.t, until: null, data: null } as const;
    await real.store.addLogEntry('kowhai', { ...entry, note }, real.clock.t);
    const readings = Array.from({ length: 300 }, (_, i) => ({
      ...{ tub: 'kowhai', point: 'tub/temperature' },
      ...{ t: real.clock.t - i * 300_000, value: 36 + Math.sin(i / 40) },
    }));
    await real.store.keep({ readings, unreadable: [], at: real.clock.t });
    await real.app.listen({ host: '127.0.0.1', port: 0 });
    const url = `http://127.0.0.1:${(real.app.server.address() as AddressInfo).port}`;
    const phone = await newPhone(browser, { locale: 'en-GB' });
    const { page } = phone;
    try {
      const [name, value] = (await real.pair({})).cookie.split('=') as [string, string];
      await phone.context.addCookies([{ name, value, url }]);
      await page.goto(`${url}/tubs/kowhai/handover?from=2026-02-27&to=2026-03-01`);
      await arrived(page);
      const started = page.waitForEvent('download');
      await page.getByRole('link', { name: 'Download the file' }).click();
      const download = await started;
      expect(download.suggestedFilename()).toBe('handover-kowhai-2026-02-27-2026-03-01.zip');
      const files = unzipSync(readFileSync(await download.path()));
      expect(strFromU8(files['readings.csv']!).trim().split('\n')).toHaveLength(301);
      expect(phone.troubles).toEqual([]);

      for (const [width, colorScheme] of [
        [320, 'light'],
        [1000, 'dark'],
      ] as const) {
        await page.setViewportSize({ width, height: 800 });
        await page.emulateMedia({ colorScheme });
        await page.goto('about:blank');
        await page.setContent(strFromU8(files['page.html']!));
        expect(await read(page, 'main')).toContain(note);
        expect(await page.locator('img').count()).toBe(0);
        expect(await page.locator('figure path').count()).toBeGreaterThan(0);
        const { violations } = await new AxeBuilder({ page })
          .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
          .withRules(['color-contrast-enhanced'])
          .analyze();
        expect(violations.map(({ id, nodes }) => [id, nodes[0]!.html])).toEqual([]);
        const { scrollWidth, clientWidth } = await page.evaluate(() => document.documentElement);
        expect(scrollWidth).toBe(clientWidth);
      }
    } finally {
      await phone.context.close();
      real.app.server.closeAllConnections();
      await real.close();
    }
  });
});

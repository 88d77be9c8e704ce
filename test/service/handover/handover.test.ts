import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { strFromU8, unzipSync } from 'fflate';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { excerptOf } from '../../../collector-service/handover/excerpt.ts';
import { partNames } from '../../../collector-service/handover/known.ts';
import { readHandover } from '../../../collector-service/handover/read.ts';
import { TubsHeard } from '../../../collector-service/ingest/admit.ts';
import { readCsvParts } from '../../../collector-service/ingest/csv-row.ts';
import { Recorded } from '../../../collector-service/replay/recorded.ts';
import { replayed } from '../../../collector-service/replay/run.ts';
import type { Day } from '../../../model/shapes.ts';
import { remarks, secrets, type WorkedHouse, workedHouse } from './worked-house.ts';

vi.setConfig({ testTimeout: 120_000, hookTimeout: 240_000 });

let house: WorkedHouse;
beforeAll(async () => {
  house = await workedHouse();
});
afterAll(() => house.close());

const [FROM, TO] = ['2026-11-11', '2026-11-15'];

/** The days that a hand-over file of some days gives when it is replayed. */
async function replayedDays(from: string, to: string): Promise<{ days: Day[]; rows: number }> {
  const file = join(house.folder, 'handed.zip');
  writeFileSync(file, await house.handedOver(from, to));
  const handed = await readHandover(file);
  const recorded = new Recorded();
  const tubs = new TubsHeard(['kowhai'], []);
  const counted = await readCsvParts(
    ...(['readings.csv', handed.readings(), handed.readingsSize] as const),
    { latest: Number.POSITIVE_INFINITY, unstamped: null, tubs },
    {
      readings: (batch) => {
        for (const reading of batch) recorded.add(reading);
      },
      refused: (line, why) => expect.fail(`line ${line}: ${why}`),
    },
  );
  await handed.close();
  const logs = new Map([['kowhai', handed.log]]);
  const told = await replayed(handed.setup, recorded, null, logs, excerptOf(handed));
  return { days: told.get('kowhai')!.days, rows: counted.rows };
}

/** How far two lists of days are apart in any figure; fails where they differ in anything else. */
function largestDifference(some: readonly Day[], others: readonly Day[]): number {
  let largest = 0;
  expect(some.map(({ date }) => date)).toEqual(others.map(({ date }) => date));
  some.forEach((day, n) => {
    for (const [key, value] of Object.entries(day)) {
      const other = others[n]![key as keyof Day];
      if (typeof value === 'number' && typeof other === 'number') {
        largest = Math.max(largest, Math.abs(value - other));
      } else expect(value, `${day.date} ${key}`).toEqual(other);
    }
  });
  return largest;
}

describe('a replay of a hand-over file', () => {
  test.each([
    ['some days in the midst', FROM, TO],
    ['one day after a change of set-up', '2026-11-14', '2026-11-14'],
    ['the first days that were heard', '2026-10-09', '2026-10-12'],
    ['the last ones, with the day under way', '2026-11-17', '2026-11-20'],
  ])('gives the days of the store: %s', async (_what, from, to) => {
    const kept = (await house.watch.days('kowhai', from, to))!;
    expect(kept.length).toBeGreaterThan(0);
    expect(kept.some(({ gainKwh }) => gainKwh !== null && gainKwh > 0.5)).toBe(true);
    const { days, rows } = await replayedDays(from, to);
    const largest = largestDifference(days, kept);
    console.log(`${days.length} days of ${rows} readings: largest difference ${largest}`);
    expect(largest).toBeLessThan(1e-9);
  });
});

describe('a hand-over file', () => {
  let files: Record<string, string>;
  beforeAll(async () => {
    const unzipped = unzipSync(await house.handedOver(FROM, TO));
    files = Object.fromEntries(
      Object.entries(unzipped).map(([name, bytes]) => [name, strFromU8(bytes)]),
    );
  });

  test('has every part, in any program that opens archives', () => {
    expect(Object.keys(files)).toEqual([...partNames]);
    expect(JSON.parse(files['about.json']!)).toMatchObject({ tub: 'kowhai', from: FROM, to: TO });
    expect(JSON.parse(files['days.json']!)).toHaveLength(5);
  });

  test('holds no secret, no address, no other tub', () => {
    for (const [name, text] of Object.entries(files)) {
      for (const word of [...secrets, 'neighbours', 'Over the fence', '-41.5']) {
        expect(text.includes(word), `${word} in ${name}`).toBe(false);
      }
    }
  });

  test('holds remarks of its days, and none from before', () => {
    const log = JSON.parse(files['log.json']!) as { items: { kind: string; note?: string }[] };
    expect(log.items.map(({ kind }) => kind)).toContain('cover-changed');
    expect(log.items.map(({ note }) => note)).toContain(remarks.markup);
    for (const text of Object.values(files)) expect(text.includes(remarks.longAgo)).toBe(false);
  });

  test('shows what people wrote as text, and asks for nothing', () => {
    const page = files['page.html']!;
    // one by one, since a failure would otherwise print the whole page
    const has = (text: string) => expect(page.includes(text), text).toBe(true);
    has('&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;so&quot; on');
    has('content="default-src &#39;none&#39;;');
    const asking = /<script|<link|<img|<iframe|\b(?:src|href)=|url\(|@import|\son\w+=/i;
    expect(asking.exec(page)).toBeNull();
  });

  test('has cells that no spreadsheet runs, and numbers that stay numbers', () => {
    expect(files['log.csv']).toContain(`"'=HYPERLINK(""http://leak.test"",""look"")"`);
    for (const name of ['log.csv', 'alerts.csv', 'days.csv']) {
      expect(/(^|,|")[=+@\t]/m.exec(files[name]!), name).toBeNull();
    }
    expect(files['readings.csv']!.slice(0, 36)).toMatch(/^time,tub,point,value\n2026-11-0\dT/);
    expect(/^2026-11-11,\d/m.test(files['days.csv']!)).toBe(true);
  });

  test('begins some days before, to warm up with, and says so', () => {
    const { readingsFrom, from } = JSON.parse(files['about.json']!);
    const before = (Date.parse(`${from}T00:00:00+13:00`) - Date.parse(readingsFrom)) / 86_400_000;
    expect(before).toBeGreaterThanOrEqual(2);
    expect(files['page.html']!.includes('to warm up with')).toBe(true);
  });
});

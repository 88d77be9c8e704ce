import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, expect, test } from 'vitest';
import { admissionAt, TubsHeard } from '../../../collector-service/ingest/admit.ts';
import { readCsv } from '../../../collector-service/ingest/csv-row.ts';
import type { Reading } from '../../../model/readings.ts';
import { printedSeed } from './property.ts';
import { ARRIVAL } from './setting.ts';

const folder = mkdtempSync(join(tmpdir(), 'sunsteep-csv-'));
afterAll(() => rmSync(folder, { recursive: true }));

async function read(text: string | Uint8Array) {
  const path = join(folder, 'readings.csv');
  writeFileSync(path, text);
  const readings: Reading[] = [];
  const refused: [line: number, why: string][] = [];
  const admission = admissionAt(ARRIVAL, false, false, new TubsHeard(['kowhai'], []));
  const counted = await readCsv(path, admission, {
    readings: (batch) => {
      readings.push(...batch);
    },
    refused: (line, why) => refused.push([line, why]),
  });
  expect(counted.refused).toBe(refused.length);
  expect(counted.rows).toBe(readings.length + refused.length);
  return { readings, refused };
}

const header = 'time,tub,point,value';
const reading = (value: number, point = 'tub/temperature') => ({
  tub: 'kowhai',
  point,
  t: ARRIVAL,
  value,
});

test('rows are readings, whatever the offset of their times', async () => {
  const rows = `${header}
2026-03-02T12:00:00Z,kowhai,tub/temperature,37.4
2026-03-03T01:00:00+13:00,kowhai,pump/running,on
`;
  expect(await read(rows)).toEqual({
    readings: [reading(37.4), reading(1, 'pump/running')],
    refused: [],
  });
});

test('columns may stand in any order, be quoted, and end in CR LF', async () => {
  const rows = [
    '\ufeffvalue,"point",tub,time',
    '"37.4",tub/temperature,"kowhai","2026-03-02T12:00:00Z"',
    '38,"tub/temperature",kowhai,2026-03-02T12:00:00Z',
  ].join('\r\n');
  expect((await read(rows)).readings).toEqual([reading(37.4), reading(38)]);
});

test('a bad row stops nothing and is told by its line', async () => {
  const good = '2026-03-02T12:00:00Z,kowhai,tub/temperature,37.4';
  const rows = [
    header,
    good,
    '2026-03-02T12:00:00Z,kowhai,tub/temperature',
    `${good},extra`,
    '2026-03-02T12:00:00,kowhai,tub/temperature,37.4',
    '2026-03-02T12:00:00Z,kowhai,tub/colour,37.4',
    '2026-03-02T12:00:00Z,Kowhai,tub/temperature,37.4',
    '2026-03-02T12:00:00Z,kowhai,tub/temperature,1e999',
    '2026-03-02T12:00:00Z,kowhai,pump/running,2',
    '2026-03-02T12:06:00Z,kowhai,tub/temperature,37.4',
    '2026-03-02T12:00:00Z,kowhai,tub/temperature,"37.4',
    '2026-03-02T12:00:00Z,kowhai,tub/temperature,3"7".4',
    'x'.repeat(20_000),
    '',
    good,
  ].join('\n');
  const { readings, refused } = await read(rows);
  expect(readings).toEqual([reading(37.4), reading(37.4)]);
  expect(refused).toEqual([
    [3, 'the row has not 4 fields'],
    [4, 'the row has not 4 fields'],
    [5, 'the time is not ISO 8601 with an offset'],
    [6, 'unknown point'],
    [7, 'a tub is named by 1 to 32 of a-z, 0-9 and -, but not "service"'],
    [8, 'the value is not a finite number'],
    [9, 'the point is one of 0 and 1 alone'],
    [10, 'the time is more than 5 minutes ahead of the clock'],
    [11, 'the row is too long, or its quotes are wrong'],
    [12, 'the row is too long, or its quotes are wrong'],
    [13, 'the row is too long, or its quotes are wrong'],
  ]);
});

test.each([
  '',
  'tub,point,value\n',
  'time,tub,point,value,note\n',
  'time,tub,point,point\n',
  '2026-03-02T12:00:00Z,kowhai,tub/temperature,37.4\n',
])('a file without the header is refused: %j', async (text) => {
  await expect(read(text)).rejects.toMatchObject({
    code: 'SUNSTEEP_FILE_UNREADABLE',
    message: expect.stringContaining('time,tub,point,value'),
  });
});

test('a file that is not there, and a folder, are refused by name', async () => {
  const admission = admissionAt(ARRIVAL, false, false, new TubsHeard([], []));
  const sink = { readings: () => {}, refused: () => {} };
  for (const path of [join(folder, 'none.csv'), folder]) {
    await expect(readCsv(path, admission, sink)).rejects.toMatchObject({
      code: 'SUNSTEEP_FILE_UNREADABLE',
      message: expect.stringContaining(path),
    });
  }
});

test('a header alone is a file without rows', async () => {
  expect(await read(header)).toEqual({ readings: [], refused: [] });
});

test('rows that lie across the parts of a file are whole, and come in its order', async () => {
  const count = 30_000;
  const rows = Array.from(
    { length: count },
    (_, i) => `${new Date(ARRIVAL - i * 1000).toISOString()},kowhai,tub/temperature,${i / 100}`,
  );
  const { readings, refused } = await read(`${header}\n${rows.join('\r\n')}\r\n`);
  expect(refused).toEqual([]);
  expect(readings).toHaveLength(count);
  readings.forEach(({ t, value }, i) => {
    if (t !== ARRIVAL - i * 1000 || value !== i / 100) throw new Error(`row ${i} is another`);
  });
});

test('the file waits for who takes its readings', async () => {
  const path = join(folder, 'long.csv');
  const row = '2026-03-02T12:00:00Z,kowhai,tub/temperature,37.4\n';
  writeFileSync(path, `${header}\n${row.repeat(20_000)}`);
  let busy = 0;
  let most = 0;
  let taken = 0;
  const admission = admissionAt(ARRIVAL, false, false, new TubsHeard(['kowhai'], []));
  await readCsv(path, admission, {
    async readings(batch) {
      most = Math.max(most, ++busy);
      await new Promise(setImmediate);
      taken += batch.length;
      busy--;
    },
    refused: () => {},
  });
  expect({ most, taken }).toEqual({ most: 1, taken: 20_000 });
});

test('any text after the header is rows that are counted, and nothing else', async () => {
  const seed = printedSeed('csv');
  const text = fc.oneof(
    fc.string({ unit: 'binary', maxLength: 200 }),
    fc.string({ unit: fc.constantFrom('"', ',', '\n', '\r', ' ', '1', 'é'), maxLength: 200 }),
  );
  for (const rows of fc.sample(text, { seed, numRuns: 300 })) await read(`${header}\n${rows}`);
});

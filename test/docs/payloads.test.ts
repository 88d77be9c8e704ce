import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { TubsHeard } from '../../collector-service/ingest/admit.ts';
import { readCsv } from '../../collector-service/ingest/csv-row.ts';
import { Decoder } from '../../collector-service/ingest/decode.ts';
import { fixedPoints, type PointKind, pointType, unitOf } from '../../model/points.ts';
import type { Reading } from '../../model/readings.ts';
import { wiringSchema } from '../../model/setup.ts';
import { unitsFor } from '../../model/units.ts';
import { blocks, documentOf, rows, rowsByName } from './texts.ts';

const { text } = documentOf('docs/payloads.md');
const told = rowsByName(text);
const numbered = 'collector/N/temperature';

test('every point is told of, and none that does not exist', () => {
  const points = [...told.keys()].filter((name) => !name.startsWith('sunsteep/'));
  expect(points.sort()).toEqual([...fixedPoints, numbered].sort());
});

test('each point has the unit and the limits that are told', () => {
  for (const point of [...fixedPoints, numbered]) {
    const [, unit, , limits] = told.get(point)!;
    const { kind, low, high } = pointType(point.replace('N', '1'))!;
    if (kind === 'flag') {
      expect(unit, point).toMatch(/^1.*, 0/);
      continue;
    }
    expect(unit, point).toBe(unitOf[kind]);
    const above = high < Number.MAX_VALUE ? `, above ${high}` : '';
    expect(limits, point).toBe(`below ${low}${above}`);
  }
});

test('the units that are told are the ones that are taken', () => {
  const kinds: Record<string, PointKind> = {
    temperature: 'temperature',
    flow: 'flow',
    volume: 'volume',
    irradiance: 'irradiance',
    power: 'power',
    voltage: 'voltage',
    energy: 'energy',
    'on and off': 'flag',
  };
  const table = rows(text.slice(text.indexOf('## Units'), text.indexOf('## Wiring')));
  for (const [name, kind] of Object.entries(kinds)) {
    const [, kept, also] = table.find(([first]) => first === name)!;
    const taken = [...also!.matchAll(/`([^`]+)`/g)].map(([, unit]) => unit!);
    expect(taken, name).toEqual(unitsFor(kind).filter((unit) => unit !== kept));
    if (kind !== 'flag') expect(kept, name).toBe(unitOf[kind]);
  }
});

test('the wiring that is told reads the payload that is told', () => {
  const [example] = blocks(text, 'json');
  const wiring = wiringSchema.parse(JSON.parse(example!));
  const [, payload, topic, value, point] =
    /`(\{.*\})` on `(\S+)` is (\d+) °C at `(\S+)` of `my-tub`/.exec(text)!;
  const decoder = new Decoder({ tubs: [], wiring: [wiring] });
  const admission = { latest: Infinity, unstamped: null, tubs: new TubsHeard(['my-tub'], []) };
  const message = { topic: topic!, payload: Buffer.from(payload!), earlier: false, waited: false };
  const { readings } = decoder.decode(message, 0, admission);
  expect(readings).toEqual([{ tub: 'my-tub', point, t: 0, value: Number(value) }]);
});

test('the readings that stand there as CSV are readings', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-docs-'));
  try {
    const file = join(folder, 'readings.csv');
    writeFileSync(file, blocks(text, 'csv')[0]!);
    const readings: Reading[] = [];
    const admission = { latest: Infinity, unstamped: null, tubs: new TubsHeard([], []) };
    const count = await readCsv(file, admission, {
      readings: (batch) => void readings.push(...batch),
      refused: () => {},
    });
    expect(count.refused).toBe(0);
    expect(readings).toHaveLength(count.rows);
    expect(count.rows).toBeGreaterThan(5);
  } finally {
    rmSync(folder, { recursive: true });
  }
});

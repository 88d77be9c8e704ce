import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import type { SensorClass } from '../../model/setup.ts';
import {
  flowRelativeUncertainty,
  heatRelativeUncertainty,
  pairUncertaintyK,
} from '../../model/uncertainty.ts';
import { tolerances } from '../physics/tolerances.ts';
import { root } from '../service/live/program.ts';
import { documentOf, rows } from './texts.ts';

const readme = documentOf('README.md').text;
const how = documentOf('docs/how-it-is-worked-out.md').text;

/** Rows of the README's table, and what holds them in test/physics. */
const held: Record<string, string> = {
  'heat of a year': 'a year of the real meter',
  'heat of a month': 'a month of the real meter',
  'heat coefficient of water': 'heat coefficient',
  'density of water': 'density against IAPWS-95',
  'heat capacity of water': 'heat capacity against IAPWS-95',
  'uncertainty of heat': 'uncertainty of heat',
  'position of the sun': 'sun position',
  'sunrise and sunset': 'sunrise and sunset',
};
const exact = ['local days and months', 'units'];

const section = readme.slice(
  readme.indexOf('## How accurate'),
  readme.indexOf('## What it does not'),
);
const table = rows(section).slice(2);

test('what the README says of accuracy is what the tests hold it to', () => {
  expect(table.map(([quantity]) => quantity)).toEqual([...Object.keys(held), ...exact]);
  for (const [quantity, , to, largest] of table) {
    if (exact.includes(quantity!)) continue;
    const { limit, unit } = tolerances[held[quantity!]!]!;
    const percent = unit === 'relative';
    expect(to, quantity).toMatch(percent ? / %$/ : new RegExp(`${unit}$`));
    expect(parseFloat(to!), quantity).toBeCloseTo(percent ? 100 * limit : limit, 9);
    expect(parseFloat(largest!), quantity).toBeGreaterThan(0);
    expect(parseFloat(largest!), quantity).toBeLessThanOrEqual(parseFloat(to!));
  }
});

test('the real meter’s register is the one that was published', () => {
  const file = join(root, 'test/physics/reference/heat-meter-2018.json');
  const { groups } = JSON.parse(readFileSync(file, 'utf8'));
  const months = groups.months.cases as { expected: { energy_kWh: number } }[];
  const year = months.reduce((sum, { expected }) => sum + expected.energy_kWh, 0);
  expect(section).toContain(`${Math.round(year).toLocaleString('en')} kWh (2018)`);
});

test('what ordinary sensors leave in doubt is as told', () => {
  const doubt = (flow: SensorClass, zeroed: boolean) => {
    const pair = pairUncertaintyK(['digital-0.5', 'digital-0.5'], 46, 38, zeroed);
    const percent = 200 * heatRelativeUncertainty(flowRelativeUncertainty(flow), pair, 8)!;
    return `±${percent < 10 ? percent.toFixed(1) : percent.toFixed(0)} %`;
  };
  const told = [...how.matchAll(/\| (±[\d.]+ %) \|$/gm)].map(([, range]) => range);
  expect(told).toEqual([
    doubt('turbine-10', false),
    doubt('turbine-10', true),
    doubt('bucket-3', true),
  ]);
  expect(section).toContain(`to ${told[0]}`);
  expect(section).toContain(`to ${told[2]}`);
});

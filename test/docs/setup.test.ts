import { expect, test } from 'vitest';
import { z } from 'zod';
import { wiringFaults } from '../../collector-service/ingest/wiring.ts';
import { sensorClasses, setupSchema } from '../../model/setup.ts';
import { tubSettings } from '../../model/tub-settings.ts';
import {
  flowRelativeUncertainty,
  temperatureLimitK,
  uncertaintyOfLimit,
} from '../../model/uncertainty.ts';
import { blocks, documentOf, rowsByName } from './texts.ts';

const { text } = documentOf('docs/setup.md');
const told = rowsByName(text);

/** As much of JSON Schema as the set-up's has. */
interface Shape {
  type?: string;
  properties?: Record<string, Shape>;
  additionalProperties?: Shape | boolean;
  items?: Shape;
  anyOf?: Shape[];
  enum?: string[];
  minimum?: number;
  exclusiveMinimum?: number;
  maximum?: number;
}

const schema = z.toJSONSchema(setupSchema, { unrepresentable: 'any' }) as Shape;
const fields = new Map([
  ...leaves(schema.properties!.tubs!.items!, ''),
  ...leaves(schema.properties!.wiring!, 'wiring'),
  ...leaves(schema.properties!.notify!, 'notify'),
]);

/** Every field by its path, as the tables write it. */
function leaves(shape: Shape, path: string): [string, Shape][] {
  const one = shape.anyOf?.find(({ type }) => type !== 'null' && type !== 'object') ?? shape;
  const whole = shape.anyOf?.find(({ properties }) => properties) ?? one;
  if (shape.anyOf && one !== shape && one.type === 'string') return [[path, one]];
  if (whole.properties) {
    return Object.entries(whole.properties).flatMap(([name, inner]) =>
      leaves(inner, path === '' ? name : `${path}.${name}`),
    );
  }
  if (typeof whole.additionalProperties === 'object') {
    const key = path === 'faults' ? 'fault' : path.endsWith('.limits') ? 'limit' : 'point';
    return leaves(whole.additionalProperties, `${path}.<${key}>`);
  }
  if (whole.items?.properties) return leaves(whole.items, `${path}[]`);
  return [[path, whole]];
}

test('every field is told of, and none that does not exist', () => {
  expect(fields.size).toBeGreaterThan(60);
  const inTables = [...told.keys()].filter(
    (name) => !sensorClasses.some((known) => known === name),
  );
  expect(inTables.sort()).toEqual([...fields.keys()].sort());
});

test('numbers and choices are allowed as told', () => {
  let checked = 0;
  for (const [path, shape] of fields) {
    const allowed = told.get(path)![2]!;
    if (shape.enum && !path.endsWith('.class')) {
      expect(allowed.match(/`[^`]+`/g), path).toEqual(shape.enum.map((word) => `\`${word}\``));
      checked++;
    } else if (shape.maximum !== undefined && shape.maximum < Number.MAX_SAFE_INTEGER) {
      const low =
        shape.exclusiveMinimum === undefined ? shape.minimum : `above ${shape.exclusiveMinimum},`;
      const whole = shape.type === 'integer' ? ', whole' : '';
      expect(allowed, path).toBe(`${low} to ${shape.maximum}${whole}`);
      checked++;
    }
  }
  expect(checked).toBeGreaterThan(35);
});

test('every default is the one that is told', () => {
  const said = { id: 'x', place: { latitude: 1, longitude: 1, timeZone: 'UTC' } };
  const settings = tubSettings(said) as unknown as Record<string, Record<string, unknown>>;
  let checked = 0;
  for (const path of fields.keys()) {
    const [part, name, more] = path.split('.');
    const value = name === undefined || more !== undefined ? undefined : settings[part!]?.[name];
    if (path.includes('[]') || ['string', 'number'].includes(typeof value) === false) continue;
    const cell = told.get(path)![3]!;
    if (path.startsWith('place.') && path !== 'place.elevationM') expect(cell).toBe('required');
    else if (path === 'collectors.count') expect(value).toBe(settings.tub!.seats);
    else if (path === 'collectors.azimuthDeg') expect(value, 'north of the equator').toBe(180);
    else expect(cell.replaceAll('`', '').split(';')[0], path).toBe(String(value));
    checked++;
  }
  expect(checked).toBeGreaterThan(25);
});

test('every class of sensors has the limit that is told', () => {
  for (const name of sensorClasses) {
    const limit = told.get(name)![1]!;
    const share = /^±(\d+) %/.exec(limit)?.[1];
    const fixed = /^±([\d.]+) K/.exec(limit)?.[1];
    const platinum = /^±\(([\d.]+) \+ ([\d.]+)·/.exec(limit);
    if (share) {
      expect(flowRelativeUncertainty(name)).toBe(uncertaintyOfLimit(Number(share) / 100));
    } else {
      const at50 = fixed ? Number(fixed) : Number(platinum![1]) + 50 * Number(platinum![2]);
      expect(temperatureLimitK(name, 50), name).toBeCloseTo(at50, 12);
    }
  }
});

test('the complete example is a set-up', () => {
  const [example] = blocks(text, 'json');
  const setup = setupSchema.parse(JSON.parse(example!));
  expect(wiringFaults(setup.wiring!)).toEqual([]);
});

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { readSettings } from '../../collector-service/settings.ts';
import { root } from '../service/live/program.ts';
import { documentOf, rowsByName } from './texts.ts';

const told = rowsByName(documentOf('docs/settings.md').text);
const source = readFileSync(join(root, 'collector-service/settings.ts'), 'utf8');
const names = [...source.matchAll(/^ {2}(SUNSTEEP_\w+): \{/gm)].map(([, name]) => name!);

test('every setting is told of, and none that does not exist', () => {
  expect(names.length).toBeGreaterThan(10);
  expect([...told.keys()].sort()).toEqual([...names].sort());
});

test('what a setting may be is told in the words in which a wrong one is refused', () => {
  for (const name of names) {
    const outside: Record<string, string> = name.startsWith('SUNSTEEP_MQTT_')
      ? { SUNSTEEP_MQTT_URL: 'mqtt://broker' }
      : {};
    const refused = /allowed is (.*)\.$/.exec(refusalOf({ ...outside, [name]: '' }))?.[1];
    expect(told.get(name)![1], name).toBe(refused);
  }
});

test('every default is the one that is told', () => {
  const { data, host, port, logLevel, broker } = readSettings({});
  const defaults: Record<string, string | number> = {
    SUNSTEEP_DATA: data,
    SUNSTEEP_HOST: host,
    SUNSTEEP_PORT: port,
    SUNSTEEP_LOG_LEVEL: logLevel,
    SUNSTEEP_BROKER_HOST: broker!.host,
    SUNSTEEP_BROKER_PORT: broker!.port,
  };
  for (const name of names) {
    const cell = told.get(name)![2]!;
    if (name in defaults) expect(cell, name).toBe(`\`${defaults[name]}\``);
    else expect(cell, `${name} has no default of its own`).not.toMatch(/^`/);
  }
});

test('every setting says why one would change it', () => {
  for (const name of names) expect(told.get(name)![3]!.length, name).toBeGreaterThan(15);
});

function refusalOf(env: Record<string, string>): string {
  try {
    readSettings(env);
  } catch (error) {
    return (error as Error).message;
  }
  throw new Error(`${JSON.stringify(env)} was not refused`);
}

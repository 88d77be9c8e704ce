import { existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { STORE_FILE } from '../../collector-service/store/database.ts';
import { openStore } from '../../collector-service/store/sqlite-store.ts';
import { batch, expectedOf } from './batches.ts';
import { temporaryFolder } from './folders.ts';
import { expectSound, inside, rowsOf } from './inside.ts';

const { steps } = vi.hoisted(() => ({ steps: [] as string[] }));

vi.mock('../../collector-service/store/schema.ts', async (original) => {
  const schema = await original<typeof import('../../collector-service/store/schema.ts')>();
  steps.push(...schema.migrations);
  return { ...schema, migrations: steps };
});

let folder: string;
let remove: () => void;
let shipped: number;
beforeEach(async () => {
  ({ folder, remove } = temporaryFolder());
  shipped = steps.length;
  const store = openStore(folder);
  await store.keep(batch('kowhai', 0));
  await store.close();
});
afterEach(() => {
  steps.splice(shipped);
  remove();
});

const copy = () => join(folder, `${STORE_FILE}.before-schema-${steps.length}`);
const version = (db: Database.Database) => db.pragma('user_version', { simple: true });

test('a new store, and one that is up to date, make no copy', async () => {
  await openStore(folder).close();
  expect(readdirSync(folder)).toEqual([STORE_FILE]);
});

test('the file is copied before the first step that changes it, for its owner alone', async () => {
  steps.push('CREATE TABLE later (x)', 'DELETE FROM reading; DELETE FROM rollup');
  await openStore(folder).close();
  expect(readdirSync(folder).sort()).toEqual([
    STORE_FILE,
    `${STORE_FILE}.before-schema-${shipped + 2}`,
  ]);
  expect(statSync(copy()).mode & 0o777).toBe(0o600);
  inside(folder, (db) => {
    expect(version(db)).toBe(shipped + 2);
    expect(rowsOf(db).size).toBe(0);
  });
  const before = new Database(copy(), { readonly: true });
  expect(version(before)).toBe(shipped);
  expect(rowsOf(before)).toEqual(expectedOf('kowhai', [0]));
  expectSound(before);
  before.close();
});

test('a step that fails leaves the file as the step before left it, and can be tried again', async () => {
  steps.push('CREATE TABLE later (x)', 'CREATE TABLE half (x); DROP TABLE never_there');
  expect(() => openStore(folder)).toThrow(/never_there/);
  inside(folder, (db) => {
    expect(version(db)).toBe(shipped + 1);
    expect(db.prepare("SELECT name FROM sqlite_schema WHERE name = 'half'").all()).toEqual([]);
    expect(rowsOf(db)).toEqual(expectedOf('kowhai', [0]));
  });
  expect(existsSync(copy())).toBe(true);
  steps[shipped + 1] = 'CREATE TABLE half (x)';
  const store = openStore(folder);
  await store.keep(batch('kowhai', 1));
  await store.close();
  inside(folder, (db) => expect(version(db)).toBe(shipped + 2));
});

import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readHandover } from '../../../collector-service/handover/read.ts';
import { admissionAt, TubsHeard } from '../../../collector-service/ingest/admit.ts';
import { readCsv } from '../../../collector-service/ingest/csv-row.ts';
import { checkLog } from '../../../collector-service/replay/log-file.ts';
import { checkSetup } from '../../../collector-service/serve/setup-check.ts';
import { copyStore, putBackup } from '../../../collector-service/store/backup.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import { temporaryFolder } from '../../store/folders.ts';
import { bytesOf, type SmallHouse, smallHouse } from '../handover/small-house.ts';
import { kowhai } from '../serve/samples.ts';

/** Files that somebody made to hurt whoever takes them in. */

let house: SmallHouse;
beforeAll(async () => {
  house = await smallHouse(60);
});
afterAll(() => house.close());

const faultsOf = (document: unknown) => {
  const checked = checkSetup(document);
  return 'faults' in checked ? checked.faults.map(({ path }) => path) : [];
};
const wire = (change: object) => ({
  ...{ topic: 'shed/state', pointer: '/a', tub: 'kowhai', point: 'tub/temperature' },
  ...change,
});

describe('a set-up', () => {
  // a test that hangs fails: what is tried here took longer than anybody waits
  test('with a pointer that could be read in every way there is, is refused at once', () => {
    for (const pointer of [
      `${'/'.repeat(400)}~`,
      `${'/a'.repeat(200)}~2`,
      `${'/~0'.repeat(150)}~`,
    ]) {
      expect(faultsOf({ tubs: [], wiring: [wire({ pointer })] })).toContain('/wiring/0/pointer');
      expect(faultsOf({ tubs: [], wiring: [wire({ timePointer: pointer })] })).toContain(
        '/wiring/0/timePointer',
      );
    }
    for (const pointer of ['', '/', '//', '/a~0b~1c', '/ds/0/t', '/'.repeat(500)]) {
      expect(faultsOf({ tubs: [], wiring: [wire({ pointer })] }), pointer).toEqual([]);
    }
  });

  test('with more tubs and wiring than any, is told so at once', () => {
    const tubs = Array.from({ length: 60_000 }, (_, i) => ({ ...kowhai, id: `t${i}` }));
    expect(faultsOf({ tubs })).toEqual(['/tubs']);
    const wiring = Array.from({ length: 60_000 }, (_, i) => wire({ topic: `t/${i}` }));
    expect(faultsOf({ tubs: [], wiring })).toEqual(['/wiring']);
    const twice = faultsOf({ tubs: [kowhai, { ...kowhai, id: 'other' }, kowhai] });
    expect(twice).toEqual(['/tubs/2/id']);
  });

  test('goes as deep as it likes without harm', () => {
    const deep = JSON.parse(`${'['.repeat(100_000)}${']'.repeat(100_000)}`);
    expect(faultsOf(deep)).toEqual(['']);
    expect(faultsOf({ tubs: deep })).toEqual(['/tubs/0']);
    expect(faultsOf({ tubs: [{ ...kowhai, boards: deep }] })).toEqual(['/tubs/0/boards/0']);
  });

  test('brings nothing into what every object has', () => {
    const document = JSON.parse(
      `{"tubs":[{"id":"kowhai","place":{"latitude":0,"longitude":0,"timeZone":"UTC"},
        "__proto__":{"seats":9},"constructor":{"prototype":{"seats":9}}}],"__proto__":{"wiring":[]}}`,
    );
    checkSetup(document);
    expect(({} as { seats?: number }).seats).toBeUndefined();
    expect(faultsOf(document)).toContain('/tubs/0/constructor');
  });

  test('names nothing in a way that ends a line or steers a terminal', () => {
    for (const name of ['two\nlines', 'a\r\nBcc: b@c.test', '\u001b[2J', 'a\0b', '\u0085', '']) {
      expect(faultsOf({ tubs: [{ ...kowhai, name }] }), JSON.stringify(name)).toEqual([
        '/tubs/0/name',
      ]);
      const boards = [{ name, points: [] }];
      expect(faultsOf({ tubs: [{ ...kowhai, boards }] })).toEqual(['/tubs/0/boards/0/name']);
    }
    expect(faultsOf({ tubs: [{ ...kowhai, name: '<b>Kōwhai</b> 🛁 =1+1' }] })).toEqual([]);
  });
});

describe('a log', () => {
  const entry = (data: unknown) => [{ kind: 'remark', from: '2026-03-01T02:00:00Z', data }];
  const faults = (log: unknown) => {
    const checked = checkLog(log, ['kowhai']);
    return 'faults' in checked ? checked.faults.map(({ path }) => path) : [];
  };

  test('has data of eight levels at most, and without names that mean something', () => {
    const deep = (levels: number) =>
      JSON.parse(`{"a":${'['.repeat(levels - 1)}${']'.repeat(levels - 1)}}`);
    expect(faults(entry(deep(8)))).toEqual([]);
    for (const levels of [9, 1000, 100_000])
      expect(faults(entry(deep(levels)))).toEqual(['/0/data']);
    for (const key of ['__proto__', 'constructor', 'prototype']) {
      expect(faults(entry(JSON.parse(`{"a":{"${key}":1}}`))), key).toEqual(['/0/data']);
    }
  });

  test('tells times that can be written', () => {
    const at = (from: string) => faults([{ kind: 'remark', from }]);
    expect(at('9999-12-31T23:59:59-01:00')).toEqual(['/0/from']);
    expect(at('0000-01-01T00:00:00+01:00')).toEqual(['/0/from']);
    expect(at('9999-12-31T23:59:59Z')).toEqual([]);
  });

  test('that was taken can be handed over and read again', async () => {
    const data = JSON.parse('{"a":[[[[[[{}]]]]]]}');
    const from = Date.UTC(2026, 2, 2, 12);
    const said = { kind: 'remark', until: null, data, note: '=1+1' } as const;
    expect(faults(entry(data))).toEqual([]);
    await house.store.addLogEntry('kowhai', { id: 'deep', ...said, from }, from);
    const path = join(house.folder, 'deep.zip');
    writeFileSync(path, await bytesOf(house.handedOver()));
    const handed = await readHandover(path);
    await handed.close();
    expect(handed.log.find(({ id }) => id === 'deep')).toMatchObject({ data, note: '=1+1' });
  });
});

test('a hand-over file with a set-up made to hurt is refused at once', async () => {
  const parts = unzipSync(await bytesOf(house.handedOver()));
  const setup = JSON.parse(strFromU8(parts['setup.json']!));
  setup.wiring = [wire({ pointer: `${'/'.repeat(400)}~` })];
  const path = join(house.folder, 'hurting.zip');
  writeFileSync(path, zipSync({ ...parts, 'setup.json': strToU8(JSON.stringify(setup)) }));
  await expect(readHandover(path)).rejects.toMatchObject({ code: 'SUNSTEEP_FILE_UNREADABLE' });
});

describe('a CSV', () => {
  async function read(text: string | Buffer) {
    const path = join(house.folder, 'readings.csv');
    writeFileSync(path, text);
    const readings: unknown[] = [];
    const whys: string[] = [];
    const admission = admissionAt(Date.UTC(2026, 2, 3), false, false, new TubsHeard([], []));
    const counted = await readCsv(path, admission, {
      readings: (batch) => void readings.push(...batch),
      refused: (_line, why) => void whys.push(why),
    });
    return { readings, whys: [...new Set(whys)], ...counted };
  }
  const header = 'time,tub,point,value\n';
  const good = '2026-03-01T00:00:00Z,kowhai,tub/temperature,37\n';

  test('with a row that never ends, quotes that never close, or binary loses that row alone', async () => {
    for (const bad of [
      'x'.repeat(3_000_000),
      `"${'"'.repeat(9_001)}`,
      '"'.repeat(9_000),
      ','.repeat(9_000),
      '\0\u001b[2J\u0007',
      '=cmd|calc!A1,=1,=1,=1',
      '2026-03-01T00:00:00Z,__proto__,tub/temperature,37',
      '2026-03-01T00:00:00Z,kowhai,constructor,37',
      '2026-03-01T00:00:00Z,kowhai,tub/temperature,1e999',
      '2026-03-01T00:00:00Z,kowhai,tub/temperature,0x10',
      `2026-03-01T00:00:00Z,kowhai,tub/temperature,${'9'.repeat(9_000)}`,
    ]) {
      const { rows, refused, readings, whys } = await read(`${header}${good}${bad}\n${good}`);
      expect([rows, refused, readings.length], bad.slice(0, 60)).toEqual([3, 1, 2]);
      expect(whys.join()).not.toMatch(/\p{Cc}/u);
    }
  });

  test('brings no more than fifty tubs that nobody has set up', async () => {
    const rows = Array.from({ length: 90 }, (_, i) => good.replace('kowhai', `t${i}`)).join('');
    expect(await read(header + rows)).toMatchObject({ rows: 90, refused: 40 });
  });

  test('of one line, or of none, is refused in a sentence', async () => {
    for (const text of ['', '\0'.repeat(100_000), 'x'.repeat(2_000_000), '"', 'time,tub,point\n']) {
      await expect(read(text)).rejects.toMatchObject({ code: 'SUNSTEEP_FILE_UNREADABLE' });
    }
  });
});

describe('a backup', () => {
  const changes: [what: string, sql: string][] = [
    ['a trigger', 'CREATE TRIGGER t AFTER INSERT ON reading BEGIN DELETE FROM phone; END'],
    [
      'a view that never ends in a table’s place',
      `DROP TABLE rollup; CREATE VIEW rollup AS WITH RECURSIVE n(series, quarter, n, low, sum, high) AS
         (SELECT 1,1,1,1,1,1 UNION ALL SELECT series+1,1,1,1,1,1 FROM n) SELECT * FROM n`,
    ],
    ['no tables at all', 'DROP TABLE note; DROP TABLE reading; DROP TABLE rollup'],
    ['a column more', 'ALTER TABLE phone ADD COLUMN more GENERATED ALWAYS AS (1/0)'],
    ['a table more', 'CREATE TABLE more (x)'],
    ['an index that asks', 'CREATE INDEX more ON note (key) WHERE value LIKE "%a%"'],
  ];

  test.each(changes)('with %s is refused, and the store stays as it is', async (_what, sql) => {
    const { folder, remove } = temporaryFolder();
    const store = openStore(folder);
    await store.putNote('ours', 'as it was');
    await store.close();
    const file = join(folder, 'backup.db');
    copyStore(folder, file);
    expect(putBackup(file, folder, 'first')).not.toBeNull(); // as it is it would do
    const db = new Database(file);
    db.exec(sql.replaceAll('"', "'"));
    db.close();
    expect(() => putBackup(file, folder, 'second')).toThrowError(
      expect.objectContaining({ code: 'SUNSTEEP_STORE_FOREIGN' }),
    );
    const after = openStore(folder);
    expect(await after.note('ours')).toBe('as it was');
    await after.close();
    remove();
  });
});

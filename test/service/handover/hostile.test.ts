import { randomBytes } from 'node:crypto';
import { mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { strFromU8, strToU8, unzipSync, type Zippable, zipSync } from 'fflate';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { readHandover } from '../../../collector-service/handover/read.ts';
import { chance } from '../live/sunny-hours.ts';
import { bytesOf, type SmallHouse, smallHouse } from './small-house.ts';

let house: SmallHouse;
let whole: Uint8Array;
let parts: Record<string, Uint8Array>;
let file: string;

beforeAll(async () => {
  house = await smallHouse();
  whole = await bytesOf(house.handedOver());
  parts = unzipSync(whole);
  file = join(house.folder, 'handed.zip');
});
afterAll(() => house.close());

/** Reads all that a replay reads of a file; what it says where it refuses that. */
async function refusal(bytes: Uint8Array | null = null, path = file): Promise<string | null> {
  if (bytes) writeFileSync(path, bytes);
  try {
    const handed = await readHandover(path);
    try {
      const pieces: Buffer[] = [];
      for await (const piece of handed.readings()) pieces.push(piece);
      expect(Buffer.concat(pieces).toString()).toBe(strFromU8(parts['readings.csv']!));
      expect(handed.log.map(({ note }) => note)).toEqual(['as it was']);
    } finally {
      await handed.close();
    }
    return null;
  } catch (error) {
    expect(error, String((error as Error).stack)).toMatchObject({
      name: 'SunsteepError',
      code: 'SUNSTEEP_FILE_UNREADABLE',
    });
    const { message } = error as Error;
    expect(message).toMatch(/^[^\n]{10,400}$/);
    return message;
  }
}

const zipped = (change: Zippable) => zipSync({ ...parts, ...change });
const json = (document: unknown) => strToU8(JSON.stringify(document));
const text = (name: string) => JSON.parse(strFromU8(parts[name]!));

test('a sound file is read, and so is one that another program has packed', async () => {
  expect(await refusal(whole)).toBeNull();
  expect(await refusal(zipped({}))).toBeNull();
  expect(await refusal(zipSync(parts, { level: 0 }))).toBeNull();
});

test('what is no archive is refused', async () => {
  const folder = join(house.folder, 'folder.zip');
  mkdirSync(folder);
  expect(await refusal(null, folder)).toMatch(/is a folder/);
  expect(await refusal(null, join(house.folder, 'none.zip'))).toMatch(/cannot be opened/);
  expect(await refusal(new Uint8Array(0))).toMatch(/another kind of file, or cut short/);
  expect(await refusal(strToU8('time,tub,point,value\n'))).toMatch(/another kind of file/);
  expect(await refusal(new Uint8Array(100_000).fill(0x50))).toMatch(/another kind of file/);
});

test('a file that was cut short is refused, wherever that was', async () => {
  for (let length = 0; length < whole.length; length += Math.ceil(whole.length / 150)) {
    expect(await refusal(whole.subarray(0, length)), `${length} bytes`).not.toBeNull();
  }
});

test('a byte that has changed is found, or changes nothing that is read', async () => {
  const random = chance(4711);
  let found = 0;
  for (let n = 0; n < 200; n++) {
    const bytes = whole.slice();
    const at = Math.floor(random() * bytes.length);
    bytes[at]! ^= 1 << Math.floor(random() * 8);
    if ((await refusal(bytes)) !== null) found++;
  }
  console.log(`${found} of 200 flipped bits refused, the others changed nothing that is read`);
  expect(found).toBeGreaterThan(75); // the page, which nobody reads here, is half of the file
});

test.each([
  '../../etc/evil',
  '/etc/passwd',
  'C:\\evil',
  'page.html/../x',
  'more.txt',
  'constructor',
])('a name that no hand-over file has is refused: %s', async (name) => {
  const before = readdirSync(house.folder).sort();
  const entries = Object.entries({ ...parts, [name]: strToU8('x') });
  entries.push([name, strToU8('x')]);
  expect(await refusal(zipSync(Object.fromEntries(entries)))).toMatch(/which no hand-over file/);
  expect(readdirSync(house.folder).sort()).toEqual(before);
});

test('a part that is missing, or there twice, is refused', async () => {
  for (const name of ['about.json', 'setup.json', 'versions.json', 'log.json', 'known.json']) {
    const { [name]: _, ...others } = parts;
    expect(await refusal(zipSync(others))).toMatch(`"${name}`.slice(1));
  }
  const twice = Buffer.from(zipped({}));
  const renamed = Buffer.from(
    twice.toString('latin1').replaceAll('alerts.csv', 'alerts.xxx'),
    'latin1',
  );
  expect(await refusal(renamed)).toMatch(/alerts\.xxx/);
  const same = twice.toString('latin1').replaceAll('days.json', 'page.html');
  expect(await refusal(Buffer.from(same, 'latin1'))).toMatch(/"page.html" twice/);
});

test('what would grow without measure is refused before it does', async () => {
  const bomb = new Uint8Array(4 * 1_048_576).fill(0x30);
  expect(await refusal(zipped({ 'readings.csv': bomb }))).toMatch(/more than 300 times/);
  expect(await refusal(zipped({ 'log.json': bomb }))).toMatch(/more than 300 times/);
  const noise = new Uint8Array(randomBytes(33 * 1_048_576));
  expect(await refusal(zipped({ 'known.json': [noise, { level: 0 }] }))).toMatch(/too large/);
});

test('what grows to more than it says is refused as soon as it does', async () => {
  const bytes = Buffer.from(zipped({ 'readings.csv': new Uint8Array(8_000_000).fill(0x30) }));
  // the size in the directory, where it stands for readings.csv
  const at = bytes.lastIndexOf('readings.csv') - 46;
  expect(bytes.readUInt32LE(at + 24)).toBe(8_000_000);
  bytes.writeUInt32LE(1000, at + 24);
  expect(await refusal(bytes)).toMatch(/damaged in readings\.csv/);
});

const deep = (open: string, close: string, depth = 200_000) =>
  strToU8(`{"items":${open.repeat(depth)}${close.repeat(depth)}}`);

const documents: [what: string, change: () => Zippable, says: RegExp][] = [
  ['lists within lists', () => ({ 'log.json': deep('[', ']') }), /goes deeper/],
  ['objects within objects', () => ({ 'known.json': deep('{"a":', '}', 5000) }), /goes deeper/],
  ['no JSON', () => ({ 'about.json': strToU8('{"tub":') }), /no JSON document/],
  [
    'a key that means something to the language',
    () => ({ 'log.json': strToU8('{"items":[],"__proto__":{"tubs":1}}') }),
    /field named "__proto__"/,
  ],
  [
    'such a key deep in an entry',
    () => ({
      'log.json': json({
        items: [{ ...text('log.json').items[0], data: { a: { constructor: { prototype: 1 } } } }],
      }),
    }),
    /field named "prototype"/,
  ],
  [
    'another format',
    () => ({ 'about.json': json({ ...text('about.json'), version: 2 }) }),
    /about\.json\/version/,
  ],
  [
    'a tub that is none',
    () => ({ 'about.json': json({ ...text('about.json'), tub: '../x' }) }),
    /about\.json\/tub/,
  ],
  [
    'the set-up of another tub',
    () => ({ 'setup.json': json({ tubs: [{ ...text('setup.json').tubs[0], id: 'other' }] }) }),
    /not of the tub kowhai alone/,
  ],
  ['a set-up of no tub', () => ({ 'setup.json': json({ tubs: [] }) }), /not of the tub/],
  [
    'a set-up with what there is not',
    () => ({ 'setup.json': json({ tubs: [{ ...text('setup.json').tubs[0], evil: 1 }] }) }),
    /setup\.json\/tubs\/0\/evil/,
  ],
  ['no version', () => ({ 'versions.json': json([]) }), /versions\.json/],
  ['a log that is none', () => ({ 'log.json': json({ items: [{}] }) }), /log\.json\/items\/0/],
  [
    'learned values that are text',
    () => ({ 'known.json': json({ before: null, evidence: [{ date: 'x' }] }) }),
    /known\.json\/evidence\/0/,
  ],
  [
    'a number out of all range',
    () => ({
      'known.json': strToU8(
        '{"before":{"tubC":1e999,"referenceC":1,"heats":true,"seen":[]},"evidence":[]}',
      ),
    }),
    /known\.json\/before\/tubC/,
  ],
];

test.each(documents)('a document made to hurt is refused: %s', async (_what, change, says) => {
  expect(await refusal(zipped(change()))).toMatch(says);
  expect(({} as Record<string, unknown>).tubs).toBeUndefined();
});

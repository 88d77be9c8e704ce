import type { z } from 'zod';
import type { LogEntry } from '../../model/owner-log.ts';
import { reservedNames } from '../../model/plain-data.ts';
import type { Setup } from '../../model/setup.ts';
import type { Fault } from '../errors.ts';
import { checkLog } from '../replay/log-file.ts';
import { faultsOf } from '../serve/checks.ts';
import { checkSetup } from '../serve/setup-check.ts';
import type { SetupVersion } from '../store/store.ts';
import { type About, aboutSchema, knownSchema, partNames, versionsSchema } from './known.ts';
import { Archive, type Entry, unreadable } from './unzip.ts';

/** A hand-over file as it is read: everything but its readings, and these piece by piece. */
export interface HandedOver {
  about: About;
  setup: Setup;
  versions: SetupVersion[];
  log: LogEntry[];
  known: z.infer<typeof knownSchema>;
  readings(): AsyncIterable<Buffer>;
  /** [bytes] */
  readingsSize: number;
  close(): Promise<void>;
}

/** Largest part but the readings, and largest readings: three months of a full kit [bytes]. */
const LARGEST_PART = 32 * 1_048_576;
const LARGEST_READINGS = 2 ** 31;
/** How deep JSON of ours goes at the most is six. */
const DEEPEST = 20;

/**
 * Reads and checks a hand-over file; nothing of it is written anywhere.
 *
 * @throws SunsteepError SUNSTEEP_FILE_UNREADABLE that says in a sentence why it is refused
 */
export async function readHandover(path: string): Promise<HandedOver> {
  const archive = await Archive.open(path);
  try {
    const parts = partsIn(path, archive.entries);
    const json = async (name: (typeof partNames)[number]): Promise<unknown> =>
      parsed(path, name, await textOf(archive, parts(name)));
    const about = checked(path, 'about.json', aboutSchema, await json('about.json'));
    const refused = refuser(path, about.tub);
    const setup = refused.setup('setup.json', await json('setup.json'));
    const made = checked(path, 'versions.json', versionsSchema, await json('versions.json'));
    const versions = made.map((version, i) => ({
      id: i + 1,
      from: version.from === null ? Number.NEGATIVE_INFINITY : Date.parse(version.from),
      madeAt: Date.parse(version.madeAt),
      setup: refused.setup('versions.json', version.setup, i === made.length - 1),
    }));
    const log = refused.log(await json('log.json'));
    const known = checked(path, 'known.json', knownSchema, await json('known.json'));
    const rows = parts('readings.csv');
    return {
      ...{ about, setup, versions, log, known, readingsSize: rows.size },
      readings: () => archive.content(rows),
      close: () => archive.close(),
    };
  } catch (error) {
    await archive.close();
    throw error;
  }
}

/** Every part that there must be, by name; any other is refused, wherever its name would lead. */
function partsIn(path: string, entries: readonly Entry[]) {
  const parts = new Map<string, Entry>();
  for (const entry of entries) {
    const name = JSON.stringify(entry.name.slice(0, 60));
    if (!(partNames as readonly string[]).includes(entry.name)) {
      throw unreadable(`${path} is refused: it holds ${name}, which no hand-over file does`);
    }
    if (parts.has(entry.name)) throw unreadable(`${path} is refused: it holds ${name} twice`);
    const most = entry.name === 'readings.csv' ? LARGEST_READINGS : LARGEST_PART;
    if (entry.size > most) throw unreadable(`${path} is refused: ${name} in it is too large`);
    parts.set(entry.name, entry);
  }
  return (name: string): Entry => {
    const entry = parts.get(name);
    if (!entry) throw unreadable(`${path} is no whole hand-over file: ${name} is missing in it`);
    return entry;
  };
}

async function textOf(archive: Archive, entry: Entry): Promise<string> {
  const pieces: Buffer[] = [];
  for await (const piece of archive.content(entry)) pieces.push(piece);
  return Buffer.concat(pieces).toString('utf8');
}

function parsed(path: string, name: string, text: string): unknown {
  if (depthOf(text) > DEEPEST) {
    throw unreadable(`${path} is refused: ${name} goes deeper than any hand-over file does`);
  }
  try {
    return JSON.parse(text, (key, value) => {
      if (reservedNames.has(key)) {
        throw unreadable(`${path} is refused: ${name} has a field named ${JSON.stringify(key)}`);
      }
      return value;
    });
  } catch (error) {
    throw error instanceof SyntaxError
      ? unreadable(`${path} is damaged: ${name} in it is no JSON document`, error)
      : error;
  }
}

/** How deep lists and objects lie within each other. */
function depthOf(text: string): number {
  let [depth, deepest, inString] = [0, 0, false];
  for (let i = 0; i < text.length; i++) {
    const sign = text[i];
    if (inString && sign === '\\') i++;
    else if (sign === '"') inString = !inString;
    else if (inString) continue;
    else if (sign === '[' || sign === '{') deepest = Math.max(deepest, ++depth);
    else if (sign === ']' || sign === '}') depth--;
  }
  return deepest;
}

/** The first fault is enough: who made the file cannot mend it by hand. */
const because = (path: string, name: string, [fault]: readonly Fault[]) =>
  unreadable(`${path} is refused: ${name}${fault!.path}: ${fault!.why}`);

function checked<T>(path: string, name: string, shape: z.ZodType<T>, document: unknown): T {
  const { data, error } = shape.safeParse(document);
  if (error) throw because(path, name, faultsOf(error));
  return data as T;
}

function refuser(path: string, tub: string) {
  return {
    /** A set-up of the one tub; an earlier one may not have known it yet. */
    setup(name: string, document: unknown, mustKnow = true): Setup {
      const result = checkSetup(document);
      if ('faults' in result) throw because(path, name, result.faults);
      const ids = result.setup.tubs.map(({ id }) => id);
      if (ids.some((id) => id !== tub) || (mustKnow && ids.length === 0)) {
        throw unreadable(`${path} is refused: ${name} is not of the tub ${tub} alone`);
      }
      return result.setup;
    },
    log(document: unknown): LogEntry[] {
      const result = checkLog(document, [tub]);
      if ('faults' in result) throw because(path, 'log.json', result.faults);
      return result.logs.get(tub) ?? [];
    },
  };
}

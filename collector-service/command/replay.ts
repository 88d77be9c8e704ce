import { readFile } from 'node:fs/promises';
import type { LogEntry } from '../../model/owner-log.ts';
import type { Reading } from '../../model/readings.ts';
import type { Setup } from '../../model/setup.ts';
import { type Fault, SunsteepError } from '../errors.ts';
import { excerptOf } from '../handover/excerpt.ts';
import { readHandover } from '../handover/read.ts';
import { type Admission, TubsHeard } from '../ingest/admit.ts';
import { type CsvSink, readCsvParts } from '../ingest/csv-row.ts';
import { inWords } from '../replay/in-words.ts';
import { checkLog } from '../replay/log-file.ts';
import { Recorded } from '../replay/recorded.ts';
import { type Replayed, replayed } from '../replay/run.ts';
import { checkSetup } from '../serve/setup-check.ts';
import { type Command, callInvalid, type Io, parsed } from './command.ts';
import { countInWords, type RowCount, readFiles, readSources } from './rows.ts';

export const replay: Command = {
  name: 'replay',
  usage: '--setup FILE [--log FILE] [--evening HH:MM] [--json] READINGS.csv…, or HANDOVER.zip',
  summary:
    'runs recorded readings as the live service would, and prints the days and alerts; keeps nothing',
  async run(args, io) {
    const { values, positionals } = parsed(replay, {
      args,
      options: {
        setup: { type: 'string' },
        log: { type: 'string' },
        evening: { type: 'string' },
        json: { type: 'boolean' },
      },
      allowPositionals: true,
    });
    const { evening = null } = values;
    if (evening !== null && !/^([01]\d|2[0-3]):[0-5]\d$/.test(evening)) {
      throw callInvalid(replay, `--evening ${evening} is no local time such as 14:00`);
    }
    const isHandover = positionals.some((name) => /\.zip$/i.test(name));
    if (isHandover && (positionals.length > 1 || values.setup || values.log)) {
      throw callInvalid(
        replay,
        'a hand-over file stands alone: set-up, log and readings are in it',
      );
    }
    const { setup, tubs, rows } = isHandover
      ? await replayHandover(positionals[0]!, evening, io)
      : await replayFiles(positionals, values, evening, io);
    if (values.json) io.out(`${JSON.stringify({ tubs: Object.fromEntries(tubs), rows })}\n`);
    else io.out(inWords(tubs, zoneOf(setup)) + countInWords(rows));
  },
};

interface Ran {
  setup: Setup;
  tubs: Map<string, Replayed>;
  rows: RowCount;
}

async function replayFiles(
  files: readonly string[],
  named: { setup?: string; log?: string },
  evening: string | null,
  io: Io,
): Promise<Ran> {
  if (named.setup === undefined) throw callInvalid(replay, '--setup is missing');
  if (files.length === 0) throw callInvalid(replay, 'no file with readings is named');
  const setup = await readSetup(named.setup);
  const logs = named.log === undefined ? new Map() : await readLog(named.log, setup);
  const recorded = new Recorded();
  const rows = await readFiles(files, anyTime(setup), takenBy(recorded), io);
  return { setup, rows, tubs: await replayed(setup, recorded, evening, logs) };
}

async function replayHandover(file: string, evening: string | null, io: Io): Promise<Ran> {
  const handed = await readHandover(file);
  try {
    const { setup, about, log } = handed;
    const recorded = new Recorded();
    const name = `readings.csv in ${file}`;
    const read = (sink: CsvSink) =>
      readCsvParts(name, handed.readings(), handed.readingsSize, anyTime(setup), sink);
    const rows = await readSources([{ name, read }], takenBy(recorded), io);
    const logs = new Map([[about.tub, log]]);
    const tubs = await replayed(setup, recorded, evening, logs, excerptOf(handed));
    return { setup, tubs, rows };
  } finally {
    await handed.close();
  }
}

/** The clock is the readings' own: nothing is ahead of it, and every tub of the files is heard. */
const anyTime = ({ tubs }: Setup): Admission => ({
  latest: Number.POSITIVE_INFINITY,
  unstamped: null,
  tubs: new TubsHeard(
    tubs.map(({ id }) => id),
    [],
  ),
});

const takenBy = (recorded: Recorded) => (batch: Reading[]) => {
  for (const reading of batch) recorded.add(reading);
};

const zoneOf =
  ({ tubs }: Setup) =>
  (tub: string) =>
    tubs.find(({ id }) => id === tub)?.place.timeZone ?? null;

/** Reads and checks a set-up document. @throws SunsteepError that names every fault's path */
async function readSetup(file: string): Promise<Setup> {
  const checked = checkSetup(await readJson(file, 'a set-up document'));
  if ('setup' in checked) return checked.setup;
  throw refused(file, checked.faults);
}

/** Reads and checks an owner's log. @throws SunsteepError that names every fault's path */
async function readLog(file: string, { tubs }: Setup): Promise<Map<string, LogEntry[]>> {
  const document = await readJson(file, 'an owner’s log');
  const checked = checkLog(
    document,
    tubs.map(({ id }) => id),
  );
  if ('logs' in checked) return checked.logs;
  throw refused(file, checked.faults);
}

async function readJson(file: string, what: string): Promise<unknown> {
  const text = await readFile(file, 'utf8').catch((cause: unknown) => {
    const message = `${file} cannot be read: name the file of ${what}`;
    throw new SunsteepError('SUNSTEEP_CALL_INVALID', message, { cause });
  });
  try {
    return JSON.parse(text);
  } catch (cause) {
    throw new SunsteepError('SUNSTEEP_CALL_INVALID', `${file} is no JSON document`, { cause });
  }
}

function refused(file: string, faults: readonly Fault[]): SunsteepError {
  const told = faults.map(({ path, why }) => `${path === '' ? '/' : path}: ${why}`);
  return new SunsteepError('SUNSTEEP_CALL_INVALID', `${file} is refused. ${told.join('; ')}`);
}

import { readFile } from 'node:fs/promises';
import type { LogEntry } from '../../model/owner-log.ts';
import type { Setup } from '../../model/setup.ts';
import { type Fault, SunsteepError } from '../errors.ts';
import { type Admission, TubsHeard } from '../ingest/admit.ts';
import { inWords } from '../replay/in-words.ts';
import { checkLog } from '../replay/log-file.ts';
import { Recorded } from '../replay/recorded.ts';
import { replayed } from '../replay/run.ts';
import { checkSetup } from '../serve/setup-check.ts';
import { type Command, callInvalid, parsed } from './command.ts';
import { countInWords, readFiles } from './rows.ts';

export const replay: Command = {
  name: 'replay',
  usage: '--setup FILE [--log FILE] [--evening HH:MM] [--json] READINGS.csv…',
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
    if (values.setup === undefined) throw callInvalid(replay, '--setup is missing');
    if (values.evening !== undefined && !/^([01]\d|2[0-3]):[0-5]\d$/.test(values.evening)) {
      throw callInvalid(replay, `--evening ${values.evening} is no local time such as 14:00`);
    }
    if (positionals.length === 0) throw callInvalid(replay, 'no file with readings is named');
    const setup = await readSetup(values.setup);
    const logs = values.log === undefined ? new Map() : await readLog(values.log, setup);
    const recorded = new Recorded();
    // The clock is the readings' own: nothing is ahead of it, and every tub of the files is heard.
    const admission: Admission = {
      latest: Number.POSITIVE_INFINITY,
      unstamped: null,
      tubs: new TubsHeard(
        setup.tubs.map(({ id }) => id),
        [],
      ),
    };
    const rows = await readFiles(
      positionals,
      admission,
      (batch) => {
        for (const reading of batch) recorded.add(reading);
      },
      io,
    );
    const tubs = await replayed(setup, recorded, values.evening ?? null, logs);
    if (values.json) io.out(`${JSON.stringify({ tubs: Object.fromEntries(tubs), rows })}\n`);
    else io.out(inWords(tubs, zoneOf(setup)) + countInWords(rows));
  },
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

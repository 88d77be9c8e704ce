import { setTimeout as pause } from 'node:timers/promises';
import { systemClock } from '../clock.ts';
import { SunsteepError } from '../errors.ts';
import { contentsOf, MOST_DAYS } from '../handover/contents.ts';
import { handover } from '../handover/handover.ts';
import { serviceRuns } from '../service-lock.ts';
import { readSettings } from '../settings.ts';
import { openStore } from '../store/sqlite-store.ts';
import type { DirtyMark, Store } from '../store/store.ts';
import { writePieces, writeWhole } from '../whole-file.ts';
import { type Command, callInvalid, type Io, parsed } from './command.ts';
import { isDate } from './dates.ts';
import { workOutMarked } from './work.ts';

const DAY = 86_400_000;
const JUST_NOW_MS = 3_600_000;
const LOOK_AGAIN_MS = 300;

export const handoverCommand: Command = {
  name: 'handover',
  usage: '--tub TUB --from DATE --to DATE FILE',
  summary:
    'writes one file for somebody who is to help: readings, set-up without secrets, alerts, log',
  async run(args, io) {
    const { values, positionals } = parsed(handoverCommand, {
      args,
      options: { tub: { type: 'string' }, from: { type: 'string' }, to: { type: 'string' } },
      allowPositionals: true,
    });
    const { tub, from, to } = values;
    for (const [name, value] of Object.entries({ tub, from, to })) {
      if (value === undefined) throw callInvalid(handoverCommand, `--${name} is missing`);
    }
    for (const date of [from!, to!]) {
      if (!isDate(date))
        throw callInvalid(handoverCommand, `${date} is no date such as 2026-03-01`);
    }
    const [file, ...others] = positionals;
    if (file === undefined || others.length > 0) {
      throw callInvalid(handoverCommand, 'name one file to write');
    }
    const days = (Date.parse(to!) - Date.parse(from!)) / DAY + 1;
    if (days < 1) throw callInvalid(handoverCommand, `${to} comes before ${from}`);
    if (days > MOST_DAYS) {
      throw callInvalid(handoverCommand, `${days} days are more than ${MOST_DAYS}`);
    }
    const { data } = readSettings(io.env);
    const store = openStore(data);
    try {
      await workedOut(store, data, tub!, io);
      const contents = await contentsOf(store, tub!, from!, to!, systemClock.now()).catch(
        (error: unknown) => {
          const isUnknown = error instanceof SunsteepError && error.code === 'SUNSTEEP_NOT_FOUND';
          throw isUnknown ? callInvalid(handoverCommand, error.message) : error;
        },
      );
      io.progress('Writing …');
      await writeWhole(file, (draft) => writePieces(draft, handover(store, contents)));
      io.progress('');
      io.note(`${file} holds readings of ${days} days; page.html in it says what else.`);
    } finally {
      await store.close();
    }
  },
};

/**
 * Where a service runs there are always marks of what has just come in; it is waited for what is older, such as an
 * import or a change of the set-up.
 */
async function workedOut(store: Store, folder: string, tub: string, io: Io): Promise<void> {
  const isOld = (mark: DirtyMark) =>
    mark.tub === tub && mark.from < systemClock.now() - JUST_NOW_MS;
  while (serviceRuns(folder)) {
    if (!(await store.dirty()).some(isOld)) return;
    io.progress('The running service works the days out …');
    await pause(LOOK_AGAIN_MS);
  }
  await workOutMarked(store, folder, io);
}

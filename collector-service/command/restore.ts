import { systemClock } from '../clock.ts';
import { SunsteepError } from '../errors.ts';
import { takeServiceLock } from '../service-lock.ts';
import { readSettings } from '../settings.ts';
import { putBackup } from '../store/backup.ts';
import { guarded } from '../store/database.ts';
import { type Command, callInvalid, parsed } from './command.ts';

export const restore: Command = {
  name: 'restore',
  usage: 'FILE',
  summary: 'puts a backup in the store’s place, while no service runs; keeps what it replaces',
  async run(args, io) {
    const { positionals } = parsed(restore, { args, allowPositionals: true });
    const [file, ...others] = positionals;
    if (file === undefined || others.length > 0) throw callInvalid(restore, 'name one backup');
    const { data } = readSettings(io.env);
    // held to the end, so that no service starts on a store that is being replaced
    const release = guarded(() => takeServiceLock(data));
    if (release === null) {
      throw new SunsteepError(
        'SUNSTEEP_STORE_BUSY',
        `a service runs on ${data}: stop it, then restore`,
      );
    }
    try {
      io.progress('Looking the backup through …');
      const replaced = putBackup(file, data, stampOf(systemClock.now()));
      io.progress('');
      io.note(`The store in ${data} is what was in ${file}.`);
      if (replaced !== null) io.note(`What it replaced is ${replaced}.`);
    } finally {
      release();
    }
  },
};

/** `2026-03-01T08-00-00Z`: a name that every disk takes. */
const stampOf = (t: number): string =>
  new Date(t).toISOString().replace(/\.\d+/, '').replaceAll(':', '-');

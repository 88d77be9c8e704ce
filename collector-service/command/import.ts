import { systemClock } from '../clock.ts';
import { admissionAt, TubsHeard } from '../ingest/admit.ts';
import { readSettings } from '../settings.ts';
import { openStore } from '../store/sqlite-store.ts';
import { type Command, callInvalid, parsed } from './command.ts';
import { countInWords, readFiles } from './rows.ts';
import { workOutMarked } from './work.ts';

export const importCommand: Command = {
  name: 'import',
  usage: 'READINGS.csv…',
  summary: 'takes readings into the store; a row that is there already changes nothing',
  async run(args, io) {
    const { positionals } = parsed(importCommand, { args, allowPositionals: true });
    if (positionals.length === 0) throw callInvalid(importCommand, 'no file is named');
    const { data } = readSettings(io.env);
    const store = openStore(data);
    try {
      const setUp = (await store.setupVersions()).at(-1)?.setup.tubs ?? [];
      const heard = (await store.tubs()).map(({ tub }) => tub);
      const tubs = new TubsHeard(
        setUp.map(({ id }) => id),
        heard,
      );
      const admission = admissionAt(systemClock.now(), false, false, tubs);
      const keep = (readings: Parameters<typeof store.keep>[0]['readings']) =>
        store.keep({ readings, unreadable: [], at: systemClock.now() });
      const count = await readFiles(positionals, admission, keep, io);
      await workOutMarked(store, data, io);
      io.out(countInWords(count));
    } finally {
      await store.close();
    }
  },
};

import { readSettings } from '../settings.ts';
import { openStore } from '../store/sqlite-store.ts';
import { type Command, callInvalid, parsed } from './command.ts';
import { isDate, startOf } from './dates.ts';
import { workOutMarked } from './work.ts';

export const recompute: Command = {
  name: 'recompute',
  usage: '[--tub TUB] [--from DATE]',
  summary: 'works the ledger out again from the readings; alerts stay as they were',
  async run(args, io) {
    const { values } = parsed(recompute, {
      args,
      options: { tub: { type: 'string' }, from: { type: 'string' } },
    });
    if (values.from !== undefined && !isDate(values.from)) {
      throw callInvalid(recompute, `--from ${values.from} is no date such as 2026-03-01`);
    }
    const { data } = readSettings(io.env);
    const store = openStore(data);
    try {
      const known = (await store.tubs()).map(({ tub }) => tub);
      if (values.tub !== undefined && !known.includes(values.tub)) {
        throw callInvalid(recompute, `nothing was heard of a tub ${JSON.stringify(values.tub)}`);
      }
      for (const tub of values.tub === undefined ? known : [values.tub]) {
        const heard = await store.span(tub);
        if (!heard) continue;
        const from =
          values.from === undefined ? heard.from : await startOf(store, tub, values.from);
        if (from <= heard.to) await store.markDirty(tub, Math.max(from, heard.from), heard.to);
      }
      await workOutMarked(store, data, io);
    } finally {
      await store.close();
    }
  },
};

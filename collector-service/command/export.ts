import { readSettings } from '../settings.ts';
import { openStore } from '../store/sqlite-store.ts';
import type { PagePlace } from '../store/store.ts';
import { type Command, callInvalid, parsed } from './command.ts';
import { endOf, isDate, startOf } from './dates.ts';

const ROWS_A_PAGE = 10_000;

export const exportCommand: Command = {
  name: 'export',
  usage: '--tub TUB [--from DATE] [--to DATE]',
  summary: 'prints readings as CSV, both dates included',
  async run(args, io) {
    const { values } = parsed(exportCommand, {
      args,
      options: { tub: { type: 'string' }, from: { type: 'string' }, to: { type: 'string' } },
    });
    const { tub, from, to } = values;
    if (tub === undefined) throw callInvalid(exportCommand, '--tub is missing');
    for (const date of [from, to]) {
      if (date !== undefined && !isDate(date)) {
        throw callInvalid(exportCommand, `${date} is no date such as 2026-03-01`);
      }
    }
    const store = openStore(readSettings(io.env).data);
    try {
      const heard = await store.span(tub);
      if (!heard)
        throw callInvalid(exportCommand, `nothing was heard of a tub ${JSON.stringify(tub)}`);
      const points = await store.points(tub);
      const start = from === undefined ? heard.from : await startOf(store, tub, from);
      const end = to === undefined ? heard.to + 1 : await endOf(store, tub, to);
      io.out('time,tub,point,value\n');
      let after: PagePlace | undefined;
      do {
        const rows = await store.page(tub, points, start, end, ROWS_A_PAGE, after);
        const lines = rows.map(
          ({ t, point, value }) => `${new Date(t).toISOString()},${tub},${point},${value}\n`,
        );
        io.out(lines.join(''));
        after = rows.length === ROWS_A_PAGE ? rows.at(-1) : undefined;
      } while (after);
    } finally {
      await store.close();
    }
  },
};

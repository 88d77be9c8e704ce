import { addDays, instantOf } from '../../model/civil-time.ts';
import { systemClock } from '../clock.ts';
import { makeLink } from '../serve/pairing.ts';
import { readSettings } from '../settings.ts';
import { openStore } from '../store/sqlite-store.ts';
import { type Command, callInvalid, parsed } from './command.ts';
import { isDate } from './dates.ts';
import { linkWithCode, phonesUrl } from './serve.ts';

export const pair: Command = {
  name: 'pair',
  usage: '[--viewer] [--until DATE]',
  summary: 'prints a one-time link for one more phone, and its QR code',
  async run(args, io) {
    const { values } = parsed(pair, {
      args,
      options: { viewer: { type: 'boolean' }, until: { type: 'string' } },
    });
    const settings = readSettings(io.env);
    if (values.until !== undefined && !isDate(values.until)) {
      throw callInvalid(pair, `--until ${values.until} is no date such as 2026-03-01`);
    }
    const store = openStore(settings.data);
    try {
      const zone = (await store.setupVersions()).at(-1)?.setup.tubs[0]?.place.timeZone ?? 'UTC';
      const until =
        values.until === undefined ? null : instantOf(addDays(values.until, 1), '00:00', zone);
      if (until !== null && until <= systemClock.now()) {
        throw callInvalid(pair, `--until ${values.until} is over already`);
      }
      const rights = { right: values.viewer ? 'viewer' : 'full', tubs: null, until } as const;
      const { link } = await makeLink(
        store,
        systemClock,
        phonesUrl(settings, settings.port),
        rights,
      );
      io.out(await linkWithCode(link));
    } finally {
      await store.close();
    }
  },
};

import { Readable } from 'node:stream';
import { z } from 'zod';
import { SunsteepError } from '../errors.ts';
import { contentsOf, MOST_DAYS } from '../handover/contents.ts';
import { handover, handoverName } from '../handover/handover.ts';
import type { App, Parts } from './parts.ts';
import { date, inOrder } from './spans.ts';
import { mustKnow, tubParams } from './tubs.ts';

const DAY = 86_400_000;

const query = inOrder(z.object({ from: date, to: date })).refine(
  ({ from, to }) => (Date.parse(to) - Date.parse(from)) / DAY < MOST_DAYS,
  {
    path: ['to'],
    error: `expected at most ${MOST_DAYS} days`,
    when: ({ issues }) => issues.length === 0,
  },
);

/** So many are made at a time: each reads as fast as its asker does. */
const MOST_AT_ONCE = 2;
const PATIENCE_MS = 120_000;

export function handoverRoutes(api: App, { watching, store, clock }: Parts): void {
  let making = 0;
  api.get(
    '/tubs/:tub/handover',
    {
      // the set-up is in it, which a viewer may not see
      config: { needs: 'full' },
      schema: {
        summary: 'Some days of a tub in one file for somebody who is to help',
        params: tubParams,
        querystring: query,
        produces: ['application/zip'],
        response: { 200: z.string().describe('a ZIP file') },
      },
    },
    async ({ params: { tub }, query: { from, to } }, reply) => {
      await mustKnow(watching, tub);
      const contents = await contentsOf(store, tub, from, to, clock.now());
      if (making >= MOST_AT_ONCE) throw busy();
      making++;
      const pieces = whileTaken(handover(store, contents), () => file.destroy());
      const file = Readable.from(pieces, { objectMode: false });
      file.once('close', () => {
        making--;
      });
      return reply
        .type('application/zip')
        .header('content-disposition', `attachment; filename="${handoverName(contents)}"`)
        .send(file as unknown as string);
    },
  );
}

/** Calls `stalled` where the next piece is not asked for in time: whoever asked may be gone without a word. */
async function* whileTaken(
  pieces: AsyncIterable<Uint8Array>,
  stalled: () => void,
): AsyncGenerator<Uint8Array> {
  for await (const piece of pieces) {
    const timer = setTimeout(stalled, PATIENCE_MS);
    try {
      yield piece;
    } finally {
      clearTimeout(timer);
    }
  }
}

const busy = () =>
  new SunsteepError(
    'SUNSTEEP_TOO_MANY',
    `${MOST_AT_ONCE} hand-over files are being made already: try again once one is there.`,
  );

import type { FastifySchemaCompiler } from 'fastify';
import { z } from 'zod';
import { setupSchema } from '../../model/setup.ts';
import { SunsteepError } from '../errors.ts';
import { covers, refused } from './access.ts';
import { checks, refuseFaults } from './checks.ts';
import type { App, Parts } from './parts.ts';
import { checkSetup, sameIds } from './setup-check.ts';
import { withoutSecrets, withStoredSecrets } from './setup-secrets.ts';
import { shareOf, withShare } from './setup-share.ts';
import { instant } from './spans.ts';

const query = z.object({
  from: z
    .union([z.literal('now'), z.literal('always'), instant], {
      error: 'expected now, always or a time such as 2026-03-01T08:00:00Z',
    })
    .default('now')
    .describe('since when it holds: now, always or an instant'),
  preview: z
    .enum(['true', 'false'])
    .default('false')
    .describe('true: changes nothing and lists the days that would change'),
});

const previewSchema = z.object({
  items: z.array(z.object({ tub: z.string(), dates: z.array(z.iso.date()) })),
  next: z.null(),
});

/** The document is checked as a whole, everything else by its schema. */
const wholly: FastifySchemaCompiler<unknown> = (part) => {
  if (part.httpPart !== 'body') return checks('SUNSTEEP_SETUP_INVALID')(part);
  return (document) => {
    const checked = checkSetup(document);
    if ('setup' in checked) return { value: checked.setup };
    return { error: refuseFaults('SUNSTEEP_SETUP_INVALID', 'What was sent', checked.faults) };
  };
};

export function setupRoutes(api: App, { watching, clock }: Parts): void {
  api.get(
    '/setup',
    {
      config: { needs: 'full' },
      schema: {
        summary: 'The set-up in force, with its ETag; secrets show as { "set": true }',
        response: { 200: setupSchema },
      },
    },
    async ({ access }, reply) => {
      const { setup, etag } = watching.setup();
      reply.header('etag', etag);
      return withoutSecrets(shareOf(setup, access));
    },
  );

  api.put(
    '/setup',
    {
      config: { needs: 'full' },
      validatorCompiler: wholly,
      schema: {
        summary: 'Puts a set-up in force; a bad one is refused whole (422) with every fault’s path',
        querystring: query,
        headers: z.looseObject({ 'if-match': z.string().optional() }),
        body: setupSchema,
        response: { 200: z.union([setupSchema, previewSchema]) },
      },
    },
    async ({ body, query: { from, preview }, headers, access }, reply) => {
      const stored = watching.setup();
      const ifMatch = matched(headers['if-match'], stored.etag);
      const sent = withShare(body, stored.setup, access);
      if (access.tubs && from !== 'now')
        throw refused('With a right for some tubs, from=now alone.');
      const { setup, faults } = withStoredSecrets(sent, stored.setup);
      faults.push(...sameIds(setup.tubs.map(({ id }) => id)));
      if (faults.length > 0) throw refuseFaults('SUNSTEEP_SETUP_INVALID', 'The set-up', faults);
      const since = from === 'now' ? clock.now() : from === 'always' ? -Infinity : from;
      if (preview === 'true') {
        const items = await watching.previewSetup(setup, since);
        return { items: items.filter(({ tub }) => covers(access, tub)), next: null };
      }
      // what was taken over from the stored set-up must still be what is stored
      const put = await watching.putSetup(setup, since, access.tubs ? stored.etag : ifMatch);
      reply.header('etag', put.etag);
      return withoutSecrets(shareOf(put.setup, access));
    },
  );
}

/**
 * The one version that the caller still means, of those that If-Match names (RFC 9110 §13.1.1).
 * A proxy that packs answers makes the tag weak; it means the same version.
 *
 * @throws SunsteepError SUNSTEEP_SETUP_CHANGED where it names others than the one in force
 */
function matched(header: string | undefined, etag: string): string | undefined {
  if (header === undefined || header.trim() === '*') return undefined;
  const named = header.split(',').map((tag) => tag.trim().replace(/^W\//, ''));
  if (named.includes(etag)) return etag;
  throw new SunsteepError(
    'SUNSTEEP_SETUP_CHANGED',
    'The set-up was changed in between. Read it again, then send your change on top of that.',
  );
}

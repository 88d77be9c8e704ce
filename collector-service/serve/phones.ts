import type { FastifyRequest } from 'fastify';
import { z } from 'zod';
import { isTubName } from '../../model/points.ts';
import { SunsteepError } from '../errors.ts';
import { type Access, covers, isOver, refused } from './access.ts';
import { refuseFaults } from './checks.ts';
import { fromOurPage } from './origin.ts';
import { endOfRight, makeLink, type Rights } from './pairing.ts';
import type { App, Parts } from './parts.ts';
import { notFound } from './problems.ts';
import { pictureSchema, qrPicture } from './qr-picture.ts';
import { iso } from './spans.ts';

const right = z.enum(['full', 'viewer']);
const optionalTime = z.iso.datetime().nullable();

const phoneSchema = z.object({
  id: z.string(),
  kind: z.literal('phone'),
  name: z.string(),
  right,
  tubs: z.array(z.string()).nullable().describe('null: all'),
  until: optionalTime,
  pairedAt: z.iso.datetime(),
  seenAt: optionalTime,
  you: z.boolean().describe('the phone that asks'),
});

const linkSchema = phoneSchema
  .pick({ id: true, right: true, tubs: true, until: true })
  .extend({ kind: z.literal('link'), expires: z.iso.datetime() });

const wishSchema = z.strictObject({
  right,
  tubs: z
    .array(z.string().refine(isTubName, 'expected the id of a tub'))
    .min(1)
    .max(1000)
    .nullable()
    .default(null)
    .describe('null or left out: as far as the right of who asks'),
  until: z
    .string()
    .nullable()
    .default(null)
    .describe('an instant, or a last date; null or left out: as long as who asks'),
});

const nameSchema = z
  .string()
  .trim()
  .regex(/^\P{Cc}{1,60}$/u, 'expected a name of 1 to 60 characters on one line');

export function phoneRoutes(api: App, parts: Parts, dropPhone: (id: string) => void): void {
  const { store, clock, settings } = parts;

  api.get(
    '/phones',
    {
      config: { needs: 'full' },
      schema: {
        summary: 'The paired phones and the links that nobody has used yet',
        response: {
          200: z.object({ items: z.array(z.union([phoneSchema, linkSchema])), next: z.null() }),
        },
      },
    },
    async ({ access }) => {
      const items = [...(await phonesOf(parts, access)), ...(await linksOf(parts, access))];
      return { items, next: null };
    },
  );

  api.post(
    '/phones',
    {
      config: { needs: 'full' },
      schema: {
        summary: 'A link for one more phone, good once, for ten minutes',
        body: wishSchema,
        response: {
          201: z.object({
            id: z.string(),
            link: z.string(),
            picture: pictureSchema.describe('the link as a QR code'),
            expires: z.iso.datetime(),
          }),
        },
      },
    },
    async (request, reply) => {
      const rights = granted(parts, request.access, request.body);
      const link = await makeLink(store, clock, addressOf(request, settings.url), rights);
      return reply.code(201).send({ ...link, picture: qrPicture(link.link) });
    },
  );

  api.put(
    '/phones/:id',
    {
      config: { needs: 'full' },
      schema: {
        summary: 'Gives a phone another name',
        params: z.object({ id: z.string() }),
        body: z.strictObject({ name: nameSchema }),
        response: { 200: phoneSchema },
      },
    },
    async ({ params: { id }, body: { name }, access }) => {
      const phone = (await phonesOf(parts, access)).find((one) => one.id === id);
      if (!phone) throw notFound('such phone');
      await store.renamePhone(id, name);
      return { ...phone, name };
    },
  );

  api.delete(
    '/phones/:id',
    {
      config: { needs: 'full' },
      schema: {
        summary: 'Takes a phone’s right away at once, or a link',
        params: z.object({ id: z.string() }),
        response: { 204: z.undefined().describe('it is out') },
      },
    },
    async ({ params: { id }, access }, reply) => {
      const within = [...(await phonesOf(parts, access)), ...(await linksOf(parts, access))];
      if (!within.some((one) => one.id === id)) throw notFound('such phone or link');
      const wasPhone = await store.removePhone(id);
      if (wasPhone) dropPhone(id);
      else await store.removeLink(id);
      return reply.code(204).send();
    },
  );
}

/** Whether all that somebody may see is within what this right covers. */
const reaches = (access: Access, tubs: string[] | null): boolean =>
  access.tubs === null || (tubs?.every((tub) => covers(access, tub)) ?? false);

async function phonesOf({ store, clock }: Parts, access: Access) {
  const phones = await store.phones();
  return phones
    .filter((phone) => reaches(access, phone.tubs) && !isOver(phone, clock.now()))
    .map(({ id, name, right, tubs, until, pairedAt, seenAt }) => ({
      id,
      kind: 'phone' as const,
      name,
      right,
      tubs,
      until: optionalIso(until),
      pairedAt: iso(pairedAt),
      seenAt: optionalIso(seenAt),
      you: id === access.phone,
    }));
}

async function linksOf({ store, clock }: Parts, access: Access) {
  const links = await store.links();
  return links
    .filter((link) => reaches(access, link.tubs) && link.expires > clock.now())
    .map(({ id, right, tubs, until, expires }) => ({
      id,
      kind: 'link' as const,
      right,
      tubs,
      until: optionalIso(until),
      expires: iso(expires),
    }));
}

const optionalIso = (t: number | null): string | null => (t === null ? null : iso(t));

/** Nobody gives more than they have: neither other tubs nor a later end. */
function granted(
  { clock, watching }: Parts,
  access: Access,
  wish: z.infer<typeof wishSchema>,
): Rights {
  const tubs = wish.tubs ?? (access.tubs && [...access.tubs]);
  if (!reaches(access, tubs)) throw refused('You can give a right for your own tubs alone.');
  const zone = watching.setup().setup.tubs[0]?.place.timeZone ?? 'UTC';
  const wished = wish.until === null ? null : endOfRight(wish.until, zone);
  if (wish.until !== null && (wished === null || wished <= clock.now())) {
    const why = 'expected a time such as 2026-03-01T08:00:00Z or a date, still to come';
    throw refuseFaults('SUNSTEEP_CALL_INVALID', 'The right', [{ path: '/until', why }]);
  }
  const until = wished ?? access.until;
  if (access.until !== null && until! > access.until) {
    throw refused('You can give a right until your own ends, not longer.');
  }
  return { right: wish.right, tubs, until };
}

/** A name of 253 characters (RFC 1035 §2.3.4), a colon and a port. */
const LONGEST_HOST = 259;

/**
 * The address under which phones reach us: as set, else as this one reached us.
 *
 * @throws SunsteepError SUNSTEEP_CALL_INVALID where the Host header is no host
 */
export function addressOf({ headers, protocol, host }: FastifyRequest, url: string | null): string {
  if (url !== null) return url;
  // behind a proxy the page's own Origin knows the scheme, and the connection to us does not
  if (fromOurPage(headers, url)) return headers.origin!;
  const address = `${protocol}://${host}`;
  if (host.length <= LONGEST_HOST && URL.canParse(address)) return new URL(address).origin;
  throw new SunsteepError('SUNSTEEP_CALL_INVALID', 'The Host header names no host.');
}

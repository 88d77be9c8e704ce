import { z } from 'zod';
import { localDate, monthBounds } from '../../model/civil-time.ts';
import { tubSettings } from '../../model/tub-settings.ts';
import type { App, Parts } from './parts.ts';
import { notFound } from './problems.ts';
import { datesOf, logOf, type SheetMonth } from './sheet-month.ts';
import { sheetPage } from './sheet-page.ts';
import { sheetSpeech } from './sheet-speech.ts';
import { monthOrDate } from './spans.ts';
import { mustKnow, noTub, tubParams } from './tubs.ts';

/** What a page of paper needs, and nothing else: no code, no pictures, nobody's frame. */
const policy = [
  "default-src 'none'",
  "style-src 'self'",
  "font-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ');

/** A language as phones name theirs, such as en-NZ. */
const language = z
  .string()
  .max(35)
  .refine(isLanguage, 'expected a language such as en-NZ')
  .default('en-GB')
  .describe('of words, numbers and dates (BCP 47)');

function isLanguage(tag: string): boolean {
  try {
    return Intl.getCanonicalLocales(tag).length === 1;
  } catch {
    return false;
  }
}

const query = z.object({
  language,
  temperature: z.enum(['C', 'F']).default('C'),
  hours: z.enum(['12', '24']).default('24').describe('of the clock'),
});

export function sheetRoutes(api: App, parts: Parts): void {
  api.get(
    '/tubs/:tub/months/:month/sheet',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'One month as a page to print, on A4 or Letter',
        params: tubParams.extend({ month: monthOrDate }),
        querystring: query,
        produces: ['text/html'],
        response: { 200: z.string().describe('an HTML page') },
      },
    },
    async ({ params, query: { language, temperature, hours } }, reply) => {
      const sheet = await sheetMonth(params.tub, params.month, parts);
      const clock = hours === '12' ? 12 : 24;
      const manner = { locale: language, temperature, hours: clock } as const;
      const speech = sheetSpeech({ ...manner, timeZone: sheet.timeZone });
      return reply
        .type('text/html; charset=utf-8')
        .header('content-security-policy', policy)
        .send(sheetPage(sheet, speech).text);
    },
  );
}

async function sheetMonth(
  tub: string,
  name: string,
  { watching, clock, demo }: Parts,
): Promise<SheetMonth> {
  await mustKnow(watching, tub);
  const said = watching.setup().setup.tubs.find(({ id }) => id === tub);
  const [month] = (await watching.months(tub, name, name)) ?? [];
  if (said === undefined || month === undefined) throw notFound(`month ${name} of this tub`);
  const settings = tubSettings(said);
  const { timeZone } = settings.place;
  const dates = datesOf(name);
  const days = await watching.days(tub, dates[0], dates.at(-1));
  if (days === null) throw noTub(tub);
  const at = clock.now();
  const bounds = monthBounds(name, timeZone);
  const today = localDate(at, timeZone);
  return {
    ...{ tub, name: settings.name, timeZone, isDemo: demo, backup: settings.backup.kind },
    ...{ month, days, bounds, at, isOver: at >= bounds.to },
    dates: dates.filter((date) => date <= today),
    daysOfMonth: dates.length,
    log: logOf(await watching.log(tub), name, timeZone),
  };
}

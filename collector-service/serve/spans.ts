import { z } from 'zod';
import { isWritable } from '../../model/instants.ts';

/** How times, dates and spans are written in addresses. */

/** An instant with its offset, as ms since 1970-01-01 UTC. */
export const instant = z
  .string()
  // an unescaped + of an offset arrives as a blank
  .transform((text) => text.replace(/ (?=\d\d:\d\d$)/, '+'))
  .pipe(z.iso.datetime({ offset: true, error: 'expected a time such as 2026-03-01T08:00:00Z' }))
  .transform((text) => Date.parse(text))
  .refine(isWritable, 'expected a time from the years 0 to 9999');

export const date = z.iso.date({ error: 'expected a date such as 2026-03-01' });

/** A month ends where the next begins, and years are written with four digits. */
const LAST_MONTH = '9999-11';

const month = z
  .string()
  .regex(/^\d{4}-(0[1-9]|1[0-2])$/, 'expected a month such as 2026-03, or a date');

/** A month, or the month that a date lies in; one after the last that has a next is taken for that. */
export const monthOrDate = z
  .union([month, date.transform((day) => day.slice(0, 7))], {
    error: 'expected a month such as 2026-03, or a date',
  })
  .transform((name) => (name > LAST_MONTH ? LAST_MONTH : name));

/** Refuses a span whose end comes before its start; either end may be left open. */
export const inOrder = <T extends z.ZodType<{ from?: string | number; to?: string | number }>>(
  span: T,
): T =>
  span.refine(({ from, to }) => from === undefined || to === undefined || from <= to, {
    path: ['from'],
    error: 'expected a time at or before the end of the span',
    // of an end that is no time at all it says nothing
    when: ({ issues }) => issues.length === 0,
  });

export const iso = (t: number): string => new Date(t).toISOString();

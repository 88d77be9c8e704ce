import type { Manner } from '../../model/words/speaker.ts';
import type { Amount, Field, NumberField } from './sections.ts';

/** Between what a person types and what the set-up holds, in the person's units. */

/** Why what was typed cannot be the answer. */
export type Wrong =
  | { wrong: 'number' }
  | { wrong: 'whole' }
  | { wrong: 'bounds'; low: string; high: string; above: boolean }
  | { wrong: 'long'; most: number }
  | { wrong: 'currency' | 'mail' | 'mails' | 'web' | 'host' | 'time' | 'needed' | 'spans' };

/** A value, or none (then the default holds), or why there can be none. */
export type Answered = { value: unknown } | { value?: never; wrong?: never } | Wrong;

/** A span of hours as it is typed; without a price where none belongs to it. */
export interface TypedSpan {
  days: number[];
  from: string;
  to: string;
  price?: string;
}

export type Typed = string | boolean | { from: string; to: string } | TypedSpan[];

/** How a kept amount is shown: kept × times + plus. */
function scale(amount: Amount, manner: Manner): { times: number; plus: number } {
  const fahrenheit = manner.temperature === 'F';
  const gallons = manner.volume === 'gal';
  if (amount === 'temperature') return { times: fahrenheit ? 1.8 : 1, plus: fahrenheit ? 32 : 0 };
  if (amount === 'difference') return { times: fahrenheit ? 1.8 : 1, plus: 0 };
  if (amount === 'lossPerK') return { times: fahrenheit ? 1 / 1.8 : 1, plus: 0 };
  if (amount === 'volume' || amount === 'flow') {
    return { times: gallons ? 1 / LITRES_PER_GALLON : 1, plus: 0 };
  }
  return { times: 1, plus: 0 };
}

const LITRES_PER_GALLON = 3.785411784; // US, exact (NIST SP 811)

/** Which of the person's units an answer was typed in: it is read again where that changes. */
export const unitsOf = (manner: Manner): string => manner.temperature + manner.volume;

/** A kept number as it is typed and read, without grouping, with as many digits as it has. */
export function shownNumber(kept: number, amount: Amount, manner: Manner): string {
  const { times, plus } = scale(amount, manner);
  const isOwn = times === 1 && plus === 0;
  const figure = kept * times + plus;
  const digits = isOwn ? { maximumFractionDigits: 6 } : { maximumSignificantDigits: 4 };
  return new Intl.NumberFormat(manner.locale, { useGrouping: false, ...digits }).format(figure);
}

/**
 * `−41,27` is a number too, and `1,150` one thousand and more where people group so.
 *
 * @param groups  whether there can be thousands: degrees have none, and maps write 52.520 everywhere
 */
export function numberIn(text: string, manner: Manner, groups = true): number | null {
  const format = new Intl.NumberFormat(manner.locale);
  const group = format.formatToParts(11_111).find(({ type }) => type === 'group')?.value ?? ' ';
  const plain = text
    .trim()
    .replace(/[−–]/g, '-')
    .replace(/[\s\u00a0\u202f’']/g, '');
  const grouped = new RegExp(`^-?\\d{1,3}(\\${group.trim() || ','}\\d{3})+(?!\\d)`);
  const isGrouped = groups && group.trim() !== '' && !/^-?0/.test(plain) && grouped.test(plain);
  const bare = (isGrouped ? plain.replaceAll(group, '') : plain)
    .replace(',', '.')
    .replace(/°$/, '');
  return /^-?(\d+(\.\d*)?|\.\d+)$/.test(bare) ? Number(bare) : null;
}

function numberAnswer(text: string, field: NumberField, manner: Manner): Answered {
  const figure = numberIn(text, manner, field.amount !== 'degrees');
  if (figure === null) return { wrong: 'number' };
  const { times, plus } = scale(field.amount, manner);
  const value = (figure - plus) / times;
  if (field.whole && !Number.isInteger(value)) return { wrong: 'whole' };
  const { low, high, above = false } = field;
  // 53.6 °F is 12 °C, and a hair less in binary.
  const slack = 1e-9 * Math.max(1, Math.abs(value));
  if ((above ? value > low : value >= low - slack) && value <= high + slack) {
    return { value: Math.min(high, Math.max(low, Number(value.toPrecision(12)))) };
  }
  const shown = (kept: number) => shownNumber(kept, field.amount, manner);
  return { wrong: 'bounds', low: shown(low), high: shown(high), above };
}

/** As the service takes them: with a name before it or without. */
const mail = /^[^\p{Cc},;]*[^\s\p{Cc},;<>@]@[^\s\p{Cc},;<>@]+>?$/u;

const isWeb = (text: string): boolean =>
  URL.canParse(text) && /^https?:$/.test(new URL(text).protocol);

const clock = /^([01]\d|2[0-3]):[0-5]\d$/;

/** What was typed as what the set-up is to hold. */
export function answerIn(typed: Typed, field: Field, manner: Manner): Answered {
  if (typeof typed === 'boolean') return { value: typed };
  if (Array.isArray(typed)) return spansAnswer(typed, field.kind === 'bands', manner);
  if (typeof typed === 'object') {
    return clock.test(typed.from) && clock.test(typed.to) ? { value: typed } : { wrong: 'time' };
  }
  // A secret may begin or end with a space.
  const text = field.kind === 'secret' ? typed : typed.trim();
  if (text === '') return field.needed === 'always' ? { wrong: 'needed' } : {};
  if (field.kind === 'number') return numberAnswer(text, field, manner);
  if (field.kind === 'mails') {
    const all = text.split(/[\n,;]/).map((each) => each.trim());
    const told = all.filter((each) => each !== '');
    const fits = told.length <= field.most && told.every((each) => mail.test(each));
    return fits ? { value: told } : { wrong: 'mails' };
  }
  if (field.kind === 'currency') {
    return /^[a-z]{3}$/i.test(text) ? { value: text.toUpperCase() } : { wrong: 'currency' };
  }
  if (field.kind === 'time') return clock.test(text) ? { value: text } : { wrong: 'time' };
  if (field.kind === 'mail' && !mail.test(text)) return { wrong: 'mail' };
  if (field.kind === 'web' && !isWeb(text)) return { wrong: 'web' };
  if (field.kind === 'host' && /\s/.test(text)) return { wrong: 'host' };
  if ('most' in field && text.length > field.most) return { wrong: 'long', most: field.most };
  return { value: text };
}

function spansAnswer(spans: TypedSpan[], priced: boolean, manner: Manner): Answered {
  if (spans.length === 0) return {};
  const value: unknown[] = [];
  for (const { days, from, to, price } of spans) {
    const cost = priced ? numberIn(price ?? '', manner) : 0;
    const isWhole = days.length > 0 && clock.test(from) && clock.test(to);
    if (!isWhole || cost === null || cost < -100 || cost > 1e6) return { wrong: 'spans' };
    // An end at midnight is the end of the day.
    const end = to === '00:00' ? '24:00' : to;
    value.push({ days: days.toSorted(), from, to: end, ...(priced && { price: cost }) });
  }
  return { value };
}

/** What the set-up holds as it is typed. */
export function typedOf(value: unknown, field: Field, manner: Manner): Typed {
  if (field.kind === 'check') return value === true;
  if (field.kind === 'hours' || field.kind === 'bands') {
    return ((value ?? []) as (TypedSpan & { price?: number })[]).map(
      ({ days, from, to, price }) => ({
        days,
        from,
        to: to === '24:00' ? '00:00' : to,
        ...(field.kind === 'bands' && { price: shownNumber(Number(price), 'pricePerKwh', manner) }),
      }),
    );
  }
  if (field.kind === 'quiet')
    return (value ?? { from: '', to: '' }) as { from: string; to: string };
  if (field.kind === 'number') {
    return typeof value === 'number' ? shownNumber(value, field.amount, manner) : '';
  }
  if (field.kind === 'secret') return '';
  if (Array.isArray(value)) return value.join('\n');
  return typeof value === 'string' ? value : '';
}

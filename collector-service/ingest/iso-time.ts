const form =
  /^(\d{4})-(\d{2})-(\d{2})[T ](\d{2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,12}))?)?(?:([Zz])|([+-])(\d{2})(?::?(\d{2}))?)$/;

/**
 * An ISO 8601 instant, e.g. `2026-03-02T14:00:00.5+13:00`, as ms since 1970-01-01 UTC, rounded.
 *
 * The offset (or Z) is required: a local time without one names no instant. null where the text is
 * none, or names a day or an hour that there is not.
 */
export function isoTime(text: string): number | null {
  const match = form.exec(text);
  if (!match) return null;
  const [, year, month, day, hour, minute, second = '0', fraction, , sign, hoursOff, minutesOff] =
    match;
  const date = dayStart(Number(year), Number(month), Number(day));
  const seconds = secondOfDay(Number(hour), Number(minute), Number(second));
  const offset = Number(hoursOff ?? 0) * 60 + Number(minutesOff ?? 0);
  if (date === null || seconds === null || offset >= 24 * 60 || Number(minutesOff ?? 0) > 59) {
    return null;
  }
  const ms = fraction === undefined ? 0 : Math.round(Number(`0.${fraction}`) * 1000);
  return date + seconds * 1000 + ms - (sign === '-' ? -offset : offset) * 60_000;
}

const monthLengths = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/** The Gregorian calendar repeats itself after 400 years [ms]. */
const CYCLE = 146_097 * 86_400_000;

function dayStart(year: number, month: number, day: number): number | null {
  const isLeap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  const length = month === 2 && isLeap ? 29 : (monthLengths[month - 1] ?? 0);
  if (day < 1 || day > length) return null;
  // Date.UTC takes the years 0 to 99 for 1900 to 1999.
  return year < 100 ? Date.UTC(year + 400, month - 1, day) - CYCLE : Date.UTC(year, month - 1, day);
}

/** 24:00 is the end of the day, and 23:59:60 a leap second, which no clock here can show. */
function secondOfDay(hour: number, minute: number, second: number): number | null {
  const endOfDay = hour === 24 && minute === 0 && second === 0;
  const leap = hour === 23 && minute === 59 && second === 60;
  if ((hour > 23 && !endOfDay) || minute > 59 || (second > 59 && !leap)) return null;
  return hour * 3600 + minute * 60 + second;
}

/** Months `YYYY-MM` and their dates `YYYY-MM-DD`, as a calendar has them everywhere. */

export function monthAfter(month: string, months: number): string {
  const first = new Date(`${month}-01T00:00:00Z`);
  first.setUTCMonth(first.getUTCMonth() + months);
  return first.toISOString().slice(0, 7);
}

/** From the first to the last, both included. */
export function monthsBetween(first: string, last: string): string[] {
  const months: string[] = [];
  for (let month = first; month <= last; month = monthAfter(month, 1)) months.push(month);
  return months;
}

export const daysIn = (month: string): number =>
  new Date(Date.parse(`${monthAfter(month, 1)}-01`) - 1).getUTCDate();

/** All dates of a month up to the `last`, which may be another month's. */
export function datesOf(month: string, last: string): string[] {
  const dates = Array.from({ length: daysIn(month) }, (_, n) => {
    return `${month}-${String(n + 1).padStart(2, '0')}`;
  });
  return dates.filter((date) => date <= last);
}

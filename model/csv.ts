/**
 * Rows of CSV (RFC 4180) that no spreadsheet runs.
 *
 * A spreadsheet takes a text that begins with one of `= + - @`, full width too, for a formula, and one that
 * parts its cells by other signs than commas may find such a beginning in the midst of ours. An apostrophe
 * before it makes it text everywhere. Numbers are written as they are, with a point; unknown is empty.
 */

export type CsvCell = string | number | boolean | null | undefined;

/** A beginning that would be run, at the start of a text and after whatever may part cells or lines. */
const beginning = /(^|[;,|\t\r\n"'])([ \u00a0\t\r\n]*)(?=[=+\-@\uff1d\uff0b\uff0d\uff20])/g;

/** One cell; a number that is none, such as NaN, is unknown. */
export function csvCell(cell: CsvCell): string {
  if (cell === null || cell === undefined) return '';
  if (typeof cell === 'number') return Number.isFinite(cell) ? String(cell) : '';
  const text = String(cell).replace(beginning, "$1$2'");
  return /[",;\t\r\n']|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/** One line, with its end. */
export const csvLine = (cells: readonly CsvCell[]): string => `${cells.map(csvCell).join(',')}\r\n`;

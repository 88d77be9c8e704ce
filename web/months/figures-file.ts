import { type CsvCell, csvLine } from '../../model/csv.ts';
import type { Day, Month } from '../../model/shapes.ts';

/** Days or months as CSV: a column for each figure, under the name that it has for scripts. */

const figures = [
  'gainKwh',
  'lostKwh',
  'uncertaintyKwh',
  'measuredKwh',
  'basis',
  'coverage',
  'usefulKwh',
  'usefulUncertaintyKwh',
  'savedKwh',
  'savedUncertaintyKwh',
  'savedMoney',
  'currency',
  'savedCo2Kg',
  'pumpKwh',
  'pumpHours',
  'litres',
  'expectedKwh',
  'sunKwhPerM2',
  'tubLowC',
  'tubHighC',
] as const satisfies (keyof Day & keyof Month)[];

/** More digits say nothing. */
const DECIMALS = 3;

const cellOf = (value: string | number | null): CsvCell =>
  typeof value === 'number' ? Number(value.toFixed(DECIMALS)) : value;

/** The oldest first. */
export function figuresFile(rows: readonly (Day | Month)[]): string {
  const months = rows.some((row) => 'month' in row);
  const head = [months ? 'month' : 'date', ...figures, ...(months ? ['days'] : [])];
  const lines = rows.map((row) => [
    'month' in row ? row.month : row.date,
    ...figures.map((figure) => cellOf(row[figure])),
    ...('days' in row ? [row.days] : []),
  ]);
  return [head, ...lines].map(csvLine).join('');
}

import { parse } from 'csv-parse/sync';
import { expect, test } from 'vitest';
import { csvCell, csvLine } from '../../model/csv.ts';

const read = (text: string, delimiter = ','): string[][] =>
  parse(text, { delimiter, relax_quotes: true, relax_column_count: true });

test('what is written is read back as it was', () => {
  const cells = ['plain', 'a, b', 'say "so"', 'two\nlines', ' blanks ', 'Kōwhai', '', '2026-03-01'];
  expect(read(csvLine(cells))).toEqual([cells]);
  expect(read(csvLine([1.5, -0.25, 1e21, true, null, undefined, Number.NaN, -Infinity]))).toEqual([
    ['1.5', '-0.25', '1e+21', 'true', '', '', '', ''],
  ]);
});

test('a text that a spreadsheet would run begins with an apostrophe', () => {
  for (const text of [
    '=1+1',
    '+1',
    '-1',
    '@SUM(A1)',
    '＝1+1',
    '－1',
    '＋1',
    '＠A1',
    ' =1',
    '\t=1',
    '\r=1',
    '\n=1',
  ]) {
    const [[cell]] = read(csvLine([text, 'x'])) as [[string]];
    expect(cell.trimStart(), JSON.stringify(text)).toMatch(/^'/);
  }
  expect(csvCell('a=1')).toBe('a=1');
  expect(csvCell('2026-03-01T00:00:00Z')).toBe('2026-03-01T00:00:00Z');
  expect(csvCell('tub/temperature')).toBe('tub/temperature');
});

test('nor does it run where cells are parted by other signs', () => {
  const texts = [
    'a;=1+1',
    'a\t@x',
    'a|+1',
    'a,-1',
    'a";=1+1',
    "a'=1",
    'a;"=1+1"',
    'a\r\n=1+1',
    'a; =1',
  ];
  for (const text of texts) {
    for (const delimiter of [',', ';', '\t', '|']) {
      const cells = read(csvLine(['x', text, 'y']), delimiter).flat();
      for (const cell of cells) {
        expect(cell.replace(/^["\s]+/, ''), JSON.stringify([text, delimiter])).not.toMatch(
          /^[=+\-@]/,
        );
      }
    }
  }
});

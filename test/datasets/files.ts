import { readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import { parse } from 'csv-parse/sync';

/** Named columns of a packed CSV file, row by row, as texts. */
export function csvColumns(file: string, names: readonly string[]): string[][] {
  const [header = [], ...rows] = parse(gunzipSync(readFileSync(file))) as string[][];
  const places = names.map((name) => {
    const place = header.indexOf(name);
    if (place < 0) throw new Error(`${file} has no column ${name}`);
    return place;
  });
  return rows.map((row) => places.map((place) => row[place]!));
}

export const sum = (amounts: readonly number[]): number => amounts.reduce((a, b) => a + b, 0);

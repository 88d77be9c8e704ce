import type { Admission } from '../ingest/admit.ts';
import { type CsvSink, readCsv } from '../ingest/csv-row.ts';
import type { Io } from './command.ts';

/** How many rows became readings, how many did not, and why: each reason with the first place of it. */
export interface RowCount {
  read: number;
  refused: number;
  why: { why: string; count: number; first: string }[];
}

/** How one file is read into a sink. */
type Source = {
  name: string;
  read: (sink: CsvSink) => Promise<{ rows: number; refused: number }>;
};

/** Reads CSV files through the door that everything heard goes through. */
export const readFiles = (
  files: readonly string[],
  admission: Admission,
  take: CsvSink['readings'],
  io: Io,
): Promise<RowCount> =>
  readSources(
    files.map((name) => ({ name, read: (sink) => readCsv(name, admission, sink) })),
    take,
    io,
  );

/** The same of files wherever they stand. */
export async function readSources(
  sources: readonly Source[],
  take: CsvSink['readings'],
  io: Io,
): Promise<RowCount> {
  const reasons = new Map<string, { why: string; count: number; first: string }>();
  const total: RowCount = { read: 0, refused: 0, why: [] };
  for (const { name, read } of sources) {
    const { rows, refused } = await read({
      readings: take,
      refused(line, why) {
        const known = reasons.get(why);
        if (known) known.count++;
        else reasons.set(why, { why, count: 1, first: `${name} line ${line}` });
      },
      progress(done, size) {
        if (size > 0) io.progress(`Reading ${name}: ${Math.floor((100 * done) / size)} %`);
      },
    });
    total.read += rows - refused;
    total.refused += refused;
  }
  io.progress('');
  total.why = [...reasons.values()];
  return total;
}

/** The count in words, one line and one more for each reason. */
export function countInWords({ read, refused, why }: RowCount): string {
  const reasons = why.map(
    ({ why: reason, count, first }) => `  ${count} × ${reason} (first: ${first})\n`,
  );
  return `${read} rows read, ${refused} refused\n${reasons.join('')}`;
}

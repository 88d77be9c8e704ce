import { open } from 'node:fs/promises';
import { parse } from 'csv-parse/sync';
import { pointType } from '../../model/points.ts';
import type { Reading } from '../../model/readings.ts';
import { SunsteepError } from '../errors.ts';
import { type Admission, admit, refusals } from './admit.ts';
import { isoTime } from './iso-time.ts';
import type { Refusal } from './payload-form.ts';
import { plainNumber } from './plain-number.ts';

/** Readings as CSV (RFC 4180): a header with these four columns, in any order. */
const columns = ['time', 'tub', 'point', 'value'] as const;

export interface CsvSink {
  /** The readings of the next part of the file; the file is read on when they are dealt with. */
  readings(batch: Reading[]): void | Promise<void>;
  /** A row that is no reading; `line` counts from 1, the header's. */
  refused(line: number, why: string): void;
  /** How far it has come [bytes]. */
  progress?(done: number, size: number): void;
}

/** How much of a file is read at a time [bytes], some thousands of rows. */
const PART = 262_144;

/** Longest row [characters]. */
const LONGEST_ROW = 10_000;

/**
 * Reads a file row by row; a bad row is refused and stops nothing.
 *
 * A line is a row: no time, name or number has a line break in it, so that quotes that do not close on
 * their line make that row a bad one, and not the rest of the file a part of it.
 *
 * @returns how many rows there were beside the header, and how many of them were refused
 * @throws SUNSTEEP_FILE_UNREADABLE where there is no such file, or no such header
 */
export async function readCsv(
  path: string,
  admission: Admission,
  sink: CsvSink,
): Promise<{ rows: number; refused: number }> {
  const file = await open(path).catch((cause: unknown) => {
    throw unreadable(`${path} cannot be opened: is it there, and may it be read?`, cause);
  });
  try {
    const { size } = await file.stat();
    const rows = new CsvRows(path, admission, sink);
    const buffer = Buffer.allocUnsafe(PART);
    const text = new TextDecoder();
    for (let done = 0; ; ) {
      const { bytesRead } = await file.read(buffer, 0, PART, done);
      done += bytesRead;
      const last = bytesRead === 0;
      await rows.take(text.decode(buffer.subarray(0, bytesRead), { stream: !last }), last);
      sink.progress?.(done, size);
      if (last) return rows.counted();
    }
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code !== 'EISDIR') throw cause;
    throw unreadable(`${path} is a folder: name a CSV file`, cause);
  } finally {
    await file.close();
  }
}

/**
 * Reads the parts of a file as they come, row by row, as `readCsv` does.
 *
 * @param path  what it is called where something is wrong with it
 * @param size  [bytes]
 */
export async function readCsvParts(
  path: string,
  parts: AsyncIterable<Uint8Array>,
  size: number,
  admission: Admission,
  sink: CsvSink,
): Promise<{ rows: number; refused: number }> {
  const rows = new CsvRows(path, admission, sink);
  const text = new TextDecoder();
  let done = 0;
  for await (const part of parts) {
    done += part.length;
    await rows.take(text.decode(part, { stream: true }), false);
    sink.progress?.(done, size);
  }
  await rows.take(text.decode(), true);
  return rows.counted();
}

/** The rows of one file, as its parts come in. */
class CsvRows {
  private readonly path: string;
  private readonly admission: Admission;
  private readonly sink: CsvSink;
  private order: number[] | null = null;
  private rest = '';
  private line = 0;
  private rows = 0;
  private refused = 0;

  constructor(path: string, admission: Admission, sink: CsvSink) {
    this.path = path;
    this.admission = admission;
    this.sink = sink;
  }

  async take(part: string, last: boolean): Promise<void> {
    const lines = (this.rest + part).split('\n');
    this.rest = last ? '' : lines.pop()!;
    // A row without an end is refused when it ends; until then its beginning is enough.
    if (this.rest.length > LONGEST_ROW) this.rest = this.rest.slice(0, LONGEST_ROW + 1);
    const batch: Reading[] = [];
    for (const line of lines) this.row(line.endsWith('\r') ? line.slice(0, -1) : line, batch);
    if (batch.length > 0) await this.sink.readings(batch);
  }

  counted(): { rows: number; refused: number } {
    if (this.order === null) throw this.noHeader();
    return { rows: this.rows, refused: this.refused };
  }

  private row(text: string, batch: Reading[]): void {
    this.line++;
    if (text === '') return;
    const fields = text.length > LONGEST_ROW ? null : fieldsOf(text);
    if (this.order === null) {
      this.order = orderOf(fields ?? []);
      if (this.order === null) throw this.noHeader();
      return;
    }
    this.rows++;
    const result = readingOf(fields, this.order, this.admission);
    if ('why' in result) {
      this.refused++;
      this.sink.refused(this.line, result.why);
    } else batch.push(result);
  }

  private noHeader(): SunsteepError {
    return unreadable(
      `${this.path} does not begin with a header of the columns ${columns.join(',')}: add one`,
    );
  }
}

const unreadable = (message: string, cause?: unknown): SunsteepError =>
  new SunsteepError('SUNSTEEP_FILE_UNREADABLE', message, { cause });

/** The fields of one row, or null where its quotes are wrong. */
function fieldsOf(row: string): string[] | null {
  if (!row.includes('"')) return row.split(',');
  try {
    return (parse(row, { relax_column_count: true }) as string[][])[0] ?? null;
  } catch {
    return null;
  }
}

/** For each of the four columns the place that it has in this file; null for another header. */
function orderOf(header: string[]): number[] | null {
  const order = columns.map((name) => header.indexOf(name));
  return header.length === columns.length && !order.includes(-1) ? order : null;
}

function readingOf(
  fields: string[] | null,
  order: readonly number[],
  admission: Admission,
): Reading | Refusal {
  if (fields === null) return { why: 'the row is too long, or its quotes are wrong' };
  if (fields.length !== columns.length) return { why: `the row has not ${columns.length} fields` };
  const [time, tub, point, text] = order.map((place) => fields[place]!) as FourTexts;
  const t = isoTime(time);
  if (t === null) return { why: 'the time is not ISO 8601 with an offset' };
  const type = pointType(point);
  if (type === null) return refusals.point;
  const value = plainNumber(text, type.kind);
  if (value === null) return refusals.value;
  return admit({ tub, point, value, t, ownTime: true }, admission);
}

type FourTexts = [string, string, string, string];

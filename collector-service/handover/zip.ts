import { setImmediate as turn } from 'node:timers/promises';
import { Zip, ZipDeflate } from 'fflate';

/** One file of an archive, as text that comes in pieces. */
export interface Part {
  name: string;
  content: AsyncIterable<string> | Iterable<string>;
}

/** An archive tells times from 1980 to 2099. */
const [EARLIEST, LATEST] = [Date.UTC(1980, 0, 2), Date.UTC(2099, 11, 30)];

/**
 * An archive of some files, made as it is read: no more of it is in memory than a piece of a file.
 *
 * @param at  what it tells as the time of each file [ms since 1970-01-01 UTC]
 */
export async function* zipped(
  parts: AsyncIterable<Part> | Iterable<Part>,
  at: number,
): AsyncGenerator<Uint8Array> {
  let ready: Uint8Array[] = [];
  let failure: Error | null = null;
  const zip = new Zip((error, piece) => {
    if (error) failure = error;
    else ready.push(piece);
  });
  const taken = (): Uint8Array[] => {
    if (failure) throw failure;
    const pieces = ready;
    ready = [];
    return pieces;
  };
  const bytes = new TextEncoder();
  const mtime = Math.min(Math.max(at, EARLIEST), LATEST);
  for await (const { name, content } of parts) {
    const file = Object.assign(new ZipDeflate(name, { level: 6 }), { mtime });
    zip.add(file);
    for await (const text of content) {
      file.push(bytes.encode(text), false);
      yield* taken();
      await turn(); // messages and phones go in between
    }
    file.push(new Uint8Array(0), true);
    yield* taken();
  }
  zip.end();
  yield* taken();
}

import { type FileHandle, open } from 'node:fs/promises';
import { pipeline, Readable } from 'node:stream';
import { crc32, createInflateRaw } from 'node:zlib';
import { SunsteepError } from '../errors.ts';

/**
 * Archives as strangers send them (ZIP, PKWARE APPNOTE 6.3, without Zip64 and encryption). Nothing is
 * believed: what a file says of itself bounds what is read of it, and what comes out must be just that.
 */

export interface Entry {
  name: string;
  /** [bytes] */
  size: number;
  packed: number;
  at: number;
  crc: number;
  isPacked: boolean;
}

const END = 0x06054b50;
const CENTRAL = 0x02014b50;
const LOCAL = 0x04034b50;
const END_LENGTH = 22;
const CENTRAL_LENGTH = 46;
const LOCAL_LENGTH = 30;
const LONGEST_COMMENT = 65_535;
const MOST_ENTRIES = 32;
const LARGEST_DIRECTORY = 65_536;
/** Readings pack to a tenth; something that packs to a three-hundredth was made to hurt. */
const MOST_TIMES = 300;
/** What is small may pack as well as it likes [bytes]. */
const SMALL = 1_048_576;
/** How much is read at a time [bytes]. */
const PIECE = 65_536;

/** An archive that is open; whoever opened it closes it. */
export class Archive {
  readonly entries: readonly Entry[];
  private readonly path: string;
  private readonly file: FileHandle;

  private constructor(path: string, file: FileHandle, entries: readonly Entry[]) {
    this.path = path;
    this.file = file;
    this.entries = entries;
  }

  /** @throws SunsteepError SUNSTEEP_FILE_UNREADABLE for a file that is no sound archive */
  static async open(path: string): Promise<Archive> {
    const file = await open(path).catch((cause: unknown) => {
      throw unreadable(`${path} cannot be opened: is it there, and may it be read?`, cause);
    });
    try {
      const { size } = await file.stat();
      return new Archive(path, file, await directory(path, file, size));
    } catch (error) {
      await file.close();
      throw (error as { code?: string }).code === 'EISDIR'
        ? unreadable(`${path} is a folder: name a hand-over file`, error)
        : error;
    }
  }

  close(): Promise<void> {
    return this.file.close();
  }

  /**
   * What is in an entry, piece by piece.
   *
   * @throws SunsteepError SUNSTEEP_FILE_UNREADABLE as soon as it is not what its size and sum say
   */
  async *content({ name, size, packed, at, crc, isPacked }: Entry): AsyncGenerator<Buffer> {
    const damaged = () => unreadable(`${this.path} is damaged in ${name}: ask for it again`);
    const start = await this.start(at, packed, damaged);
    const raw = Readable.from(pieces(this.file, start, packed), { objectMode: false });
    const source = isPacked ? pipeline(raw, createInflateRaw(), () => {}) : raw;
    let [done, sum] = [0, 0];
    try {
      for await (const piece of source as AsyncIterable<Buffer>) {
        done += piece.length;
        if (done > size) throw damaged();
        sum = crc32(piece, sum);
        yield piece;
      }
    } catch (error) {
      throw isInflating(error) ? damaged() : error;
    } finally {
      raw.destroy();
      source.destroy();
    }
    if (done !== size || sum !== crc) throw damaged();
  }

  /** Where an entry's bytes begin, after its own header. */
  private async start(at: number, packed: number, damaged: () => SunsteepError): Promise<number> {
    const header = await read(this.file, at, LOCAL_LENGTH);
    if (header.length < LOCAL_LENGTH || header.readUInt32LE(0) !== LOCAL) throw damaged();
    const start = at + LOCAL_LENGTH + header.readUInt16LE(26) + header.readUInt16LE(28);
    const { size } = await this.file.stat();
    if (start + packed > size) throw damaged();
    return start;
  }
}

const isInflating = (error: unknown): boolean =>
  /^(Z_|ERR_STREAM_PREMATURE_CLOSE)/.test(String((error as { code?: unknown }).code));

export const unreadable = (message: string, cause?: unknown): SunsteepError =>
  new SunsteepError('SUNSTEEP_FILE_UNREADABLE', message, { cause });

async function read(file: FileHandle, at: number, length: number): Promise<Buffer> {
  const buffer = Buffer.alloc(length);
  const { bytesRead } = await file.read(buffer, 0, length, at);
  return buffer.subarray(0, bytesRead);
}

async function* pieces(file: FileHandle, start: number, length: number): AsyncGenerator<Buffer> {
  for (let done = 0; done < length; ) {
    const piece = await read(file, start + done, Math.min(PIECE, length - done));
    if (piece.length === 0) return;
    done += piece.length;
    yield piece;
  }
}

async function directory(path: string, file: FileHandle, size: number): Promise<Entry[]> {
  const from = Math.max(0, size - END_LENGTH - LONGEST_COMMENT);
  const tail = await read(file, from, size - from);
  const at = endIn(tail);
  if (at === -1) {
    throw unreadable(
      `${path} is no whole hand-over file: it is another kind of file, or cut short`,
    );
  }
  const count = tail.readUInt16LE(at + 10);
  const length = tail.readUInt32LE(at + 12);
  const start = tail.readUInt32LE(at + 16);
  if (count > MOST_ENTRIES || length > LARGEST_DIRECTORY) {
    throw unreadable(`${path} holds more files than any hand-over file does`);
  }
  const damaged = unreadable(`${path} is damaged: ask for it again`);
  if (start + length > from + at) throw damaged;
  const entries: Entry[] = [];
  const bytes = await read(file, start, length);
  for (let place = 0; entries.length < count; ) {
    if (place + CENTRAL_LENGTH > bytes.length || bytes.readUInt32LE(place) !== CENTRAL) {
      throw damaged;
    }
    const names = place + CENTRAL_LENGTH;
    const nameLength = bytes.readUInt16LE(place + 28);
    const entry = entryOf(path, bytes.subarray(place), nameLength);
    if (entry.at + LOCAL_LENGTH + entry.packed > start) throw damaged;
    entries.push(entry);
    place = names + nameLength + bytes.readUInt16LE(place + 30) + bytes.readUInt16LE(place + 32);
  }
  return entries;
}

/** Where the end record begins, whose comment reaches to the end of the file; −1 where there is none. */
function endIn(tail: Buffer): number {
  for (let at = tail.length - END_LENGTH; at >= 0; at--) {
    const fits = at + END_LENGTH + tail.readUInt16LE(at + 20) === tail.length;
    if (fits && tail.readUInt32LE(at) === END) return at;
  }
  return -1;
}

function entryOf(path: string, record: Buffer, nameLength: number): Entry {
  const [flags, method] = [record.readUInt16LE(8), record.readUInt16LE(10)];
  const name = record.toString('utf8', CENTRAL_LENGTH, CENTRAL_LENGTH + nameLength);
  const [packed, size] = [record.readUInt32LE(20), record.readUInt32LE(24)];
  const told = JSON.stringify(name.slice(0, 60));
  if ((flags & 1) !== 0 || (method !== 0 && method !== 8)) {
    throw unreadable(`${path} holds ${told} in a form that no hand-over file has`);
  }
  if (method === 0 && packed !== size) throw unreadable(`${path} is damaged: ask for it again`);
  if (size > SMALL && size > MOST_TIMES * packed) {
    throw unreadable(
      `${path} is refused: ${told} would grow to more than ${MOST_TIMES} times its size`,
    );
  }
  const crc = record.readUInt32LE(16);
  return { name, size, packed, at: record.readUInt32LE(42), crc, isPacked: method === 8 };
}

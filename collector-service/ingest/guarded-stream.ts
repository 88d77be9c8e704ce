import type { Socket } from 'node:net';
import { Duplex } from 'node:stream';
import { PacketGuard } from './packet-guard.ts';

/** Most that may wait for a peer that reads too slowly [bytes]; more ends the connection. */
const MOST_UNSENT = 16 * 1024 * 1024;

/** A connection to or from a broker, with the packet guard before whoever reads it. */
export class GuardedStream extends Duplex {
  readonly remoteAddress: string;
  private readonly socket: Socket;
  private readonly guard: PacketGuard;
  private readonly room: () => Promise<void> | null;
  private waiting = false;

  /**
   * @param version  of MQTT: 4 for 3.1.1, 5 for 5
   * @param room  null while what is read can be taken, else what to wait for before reading on
   */
  constructor(socket: Socket, version: 4 | 5, room: () => Promise<void> | null = () => null) {
    super();
    this.socket = socket;
    this.remoteAddress = socket.remoteAddress ?? '';
    this.guard = new PacketGuard(version);
    this.room = room;
    socket.on('data', (chunk: Buffer) => this.receive(chunk));
    socket.on('end', () => this.push(null));
    socket.on('error', (error) => this.destroy(error));
    socket.on('close', () => this.destroy());
  }

  private receive(chunk: Buffer): void {
    const wait = this.room();
    if (wait === null) this.hand(chunk);
    else {
      this.waiting = true;
      this.socket.pause();
      wait.then(() => {
        this.waiting = false;
        if (this.destroyed) return;
        this.socket.resume();
        this.receive(chunk);
      });
    }
  }

  private hand(chunk: Buffer): void {
    try {
      let wanted = true;
      for (const piece of this.guard.pass(chunk)) wanted = this.push(piece);
      if (!wanted) this.socket.pause();
    } catch (error) {
      this.destroy(error as Error);
    }
  }

  override _read(): void {
    if (!this.waiting) this.socket.resume();
  }

  /**
   * Says that more may come, whatever waits: a broker that waited for this peer would let the boards
   * wait for their acknowledgements.
   */
  override write(chunk: unknown, ...rest: unknown[]): boolean {
    if (this.writableLength > MOST_UNSENT) this.destroy(new Error('the peer reads too slowly'));
    super.write(chunk, ...(rest as [BufferEncoding]));
    return true;
  }

  override _write(chunk: Buffer, _encoding: BufferEncoding, done: (error?: Error | null) => void) {
    this.socket.write(chunk, done);
  }

  override _writev(chunks: { chunk: Buffer }[], done: (error?: Error | null) => void): void {
    this.socket.write(Buffer.concat(chunks.map(({ chunk }) => chunk)), done);
  }

  override _final(done: (error?: Error | null) => void): void {
    this.socket.end(done);
  }

  override _destroy(error: Error | null, done: (error: Error | null) => void): void {
    this.socket.destroy();
    done(error);
  }
}

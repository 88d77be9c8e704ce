import type { Socket } from 'node:net';

/** Most connections at a time, from one address and in all. */
const MOST_PER_ADDRESS = 200;
const MOST_IN_ALL = 2_000;

/** Counts connections, so that neither one address nor all together can take what others need. */
export class ConnectionLimit {
  private readonly sockets = new Map<string, Set<Socket>>();
  private inAll = 0;

  /** Whether there is room for this one; it leaves its room when it closes. */
  admits(socket: Socket): boolean {
    const address = addressOf(socket);
    const same = this.sockets.get(address) ?? new Set();
    if (same.size >= MOST_PER_ADDRESS || this.inAll >= MOST_IN_ALL) return false;
    this.sockets.set(address, same.add(socket));
    this.inAll++;
    socket.once('close', () => {
      this.inAll--;
      same.delete(socket);
      if (same.size === 0) this.sockets.delete(address);
    });
    return true;
  }

  destroyAll(): void {
    for (const sockets of this.sockets.values()) {
      for (const socket of sockets) socket.destroy();
    }
  }
}

/** The address of a peer; IPv4 in the form that people know also where IPv6 carries it. */
export const addressOf = (peer: { remoteAddress?: string | undefined }): string =>
  (peer.remoteAddress ?? '').replace(/^::ffff:/, '');

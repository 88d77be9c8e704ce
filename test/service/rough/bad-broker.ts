import { once } from 'node:events';
import { type AddressInfo, connect, createServer, type Socket } from 'node:net';
import { setImmediate as turn } from 'node:timers/promises';
import { vi } from 'vitest';
import type { OutsideBroker } from '../../../collector-service/ingest/outside-broker.ts';
import { atTheEnd } from '../broker/hearing-house.ts';

/** What a broker does with one connection; without `behind` nobody else is there to answer. */
export type Manner = (socket: Socket, packets: () => Promise<unknown>) => void;

export interface BadBroker {
  url: string;
  /** Connections that were opened, and those that stand. */
  calls: number;
  open: Set<Socket>;
  /** How the next connections are treated; null: they are handed on to the real broker. */
  manner: Manner | null;
  /** Whether the next connections are ones from which nothing comes. */
  silent: boolean;
  /** Those that stand and from which something may still come. */
  busy: Set<Socket>;
}

/** A broker on the loopback that does what is bad, before a real one. */
export async function badBroker(manner: Manner | null, behind: number | null): Promise<BadBroker> {
  const bad: BadBroker = {
    url: '',
    calls: 0,
    open: new Set(),
    manner,
    silent: false,
    busy: new Set(),
  };
  const server = createServer((socket) => {
    bad.calls++;
    bad.open.add(socket);
    if (!bad.silent) bad.busy.add(socket);
    socket
      .on('error', () => {})
      .on('close', () => {
        bad.open.delete(socket);
        bad.busy.delete(socket);
      });
    if (bad.manner) bad.manner(socket.resume(), () => once(socket, 'data'));
    else if (behind !== null) handOn(socket, behind);
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  atTheEnd(() => {
    for (const socket of bad.open) socket.destroy();
    return new Promise((closed) => server.close(closed));
  });
  bad.url = `mqtt://127.0.0.1:${(server.address() as AddressInfo).port}`;
  return bad;
}

export function handOn(socket: Socket, port: number): void {
  const upstream = connect(port, '127.0.0.1');
  upstream.on('error', () => {}).on('close', () => socket.destroy());
  socket.on('close', () => upstream.destroy());
  socket.pipe(upstream).pipe(socket);
}

/** Takes the clock of all that waits in its own hand: pauses are over when it says so. */
export function ownTimers(): void {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'setInterval', 'clearInterval'] });
  atTheEnd(() => vi.useRealTimers());
}

/** Lets the network do what it does; where nothing is under way, the next pause is over. */
export async function untilSo(
  is: () => boolean | Promise<boolean>,
  broker: BadBroker | null = null,
): Promise<void> {
  for (let turns = 1; !(await is()); turns++) {
    await turn();
    const isIdle = broker?.busy.size === 0;
    if (isIdle && turns % 20 === 0) vi.advanceTimersToNextTimer();
  }
}

export const troubleOf = (hearing: OutsideBroker): string | null => hearing.health().trouble;

import { io, type Socket } from 'socket.io-client';
import type { Alert, ClientEvents, Day, Now, ServerEvents } from '../model/shapes.ts';

/** The live line to the service; a part of its own, so that the first view does not wait for it. */
export interface Line {
  watch(tub: string): void;
  close(): void;
}

export interface Hearer {
  up(): void;
  down(): void;
  /** No line could be had, or the service ended it; it is tried again. */
  refused(): void;
  now(news: Now & { tub: string }): void;
  day(news: Day & { tub: string }): void;
  alert(news: Alert): void;
}

const BETWEEN_TRIES = 5000; // ms

export function openLine(hearer: Hearer): Line {
  const socket: Socket<ServerEvents, ClientEvents> = io({
    // Only a WebSocket's first request carries the Origin that the service asks for.
    transports: ['websocket'],
    reconnectionDelay: 1000,
    reconnectionDelayMax: BETWEEN_TRIES,
  });
  let closed = false;

  /** Where the server itself said no, the library does not try again. */
  function again(): void {
    hearer.refused();
    if (socket.active) return;
    setTimeout(() => {
      if (!closed) socket.connect();
    }, BETWEEN_TRIES);
  }

  socket.on('connect', hearer.up);
  socket.on('disconnect', (reason) => {
    if (closed) return;
    hearer.down();
    if (reason === 'io server disconnect') again();
  });
  socket.on('connect_error', again);
  socket.on('now', hearer.now);
  socket.on('day', hearer.day);
  socket.on('alert', hearer.alert);

  return {
    watch: (tub) =>
      socket.emit('watch', { tub }, (answer) => {
        if (answer && 'tub' in answer) hearer.now(answer);
      }),
    close() {
      closed = true;
      socket.close();
    },
  };
}

import type { Server as HttpServer } from 'node:http';
import type { FastifyBaseLogger } from 'fastify';
import { type DefaultEventsMap, Server, type Socket } from 'socket.io';
import { z } from 'zod';
import type { Alert, ClientEvents, Day, Now, ServerEvents } from '../../model/shapes.ts';
import { SunsteepError } from '../errors.ts';
import { type Access, isOver, mustCover } from './access.ts';
import type { Door } from './door.ts';
import type { Parts } from './parts.ts';
import { problemOfAny } from './problems.ts';
import { noTub } from './tubs.ts';

interface Data {
  access: Access;
}
type Phone = Socket<ClientEvents, ServerEvents, DefaultEventsMap, Data>;

const LOOK_AGAIN = 1000; // ms: how late a right that has ended may be noticed
const LARGEST_MESSAGE = 10_000; // bytes

const requestSchema = z.object({ tub: z.string().max(64) });

/** Sends what is so to the phones that watch, as long as they may. */
export class Sockets {
  private readonly parts: Parts;
  private readonly log: FastifyBaseLogger;
  private readonly io: Server<ClientEvents, ServerEvents, DefaultEventsMap, Data>;
  private readonly endNews: () => void;
  private readonly endAlerts: () => void;
  private readonly lookAgain: NodeJS.Timeout;

  constructor(server: HttpServer, parts: Parts, door: Door, log: FastifyBaseLogger) {
    this.parts = parts;
    this.log = log;
    this.io = new Server(server, {
      serveClient: false,
      maxHttpBufferSize: LARGEST_MESSAGE,
      connectTimeout: 10_000,
    });
    this.io.use((phone, next) => {
      admit(phone, door).then(
        () => next(),
        (error) => next(this.refusal(error)),
      );
    });
    this.io.on('connection', (phone) => {
      phone.on('watch', (request, answer) => void this.watch(phone, request, answer));
    });
    this.endNews = parts.watching.onNews((news) => this.tell(news));
    this.endAlerts = parts.watching.onAlert((alert) => this.tellAlert(alert));
    this.lookAgain = setInterval(() => void this.dropWhoIsOut(), LOOK_AGAIN).unref();
  }

  /** Ends every connection of a phone, at once. */
  dropPhone(id: string): void {
    for (const phone of this.phones()) {
      if (phone.data.access.phone === id) phone.disconnect(true);
    }
  }

  /** Ends every connection; the HTTP server stays with who opened it. */
  close(): void {
    clearInterval(this.lookAgain);
    this.endNews();
    this.endAlerts();
    this.io.disconnectSockets(true);
    this.io.engine.close();
  }

  private async watch(
    phone: Phone,
    request: unknown,
    answer: Parameters<ClientEvents['watch']>[1],
  ): Promise<void> {
    const reply = typeof answer === 'function' ? answer : () => {};
    try {
      const { tub } = parsed(request);
      mustCover(phone.data.access, tub);
      // joined before the look, so that no news falls in between
      await phone.join(roomOf(tub));
      const now = await this.parts.watching.now(tub);
      if (!now) {
        await phone.leave(roomOf(tub));
        throw noTub(tub);
      }
      if (this.dropIfOver(phone)) return;
      reply({ ...now, tub });
      phone.emit('now', { ...now, tub });
    } catch (error) {
      reply({ problem: this.refusal(error as Error).message });
    }
  }

  private tell({ tub, now, days }: { tub: string; now: Now; days: Day[] }): void {
    for (const phone of this.phones()) {
      if (!phone.rooms.has(roomOf(tub)) || this.dropIfOver(phone)) continue;
      phone.emit('now', { ...now, tub });
      for (const day of days) phone.emit('day', { ...day, tub });
    }
  }

  private tellAlert(alert: Alert): void {
    for (const phone of this.phones()) {
      if (!phone.rooms.has(roomOf(alert.tub)) || this.dropIfOver(phone)) continue;
      phone.emit('alert', alert);
    }
  }

  /** Phones that another process, or time, has put out. */
  private async dropWhoIsOut(): Promise<void> {
    const phones = this.phones();
    if (phones.length === 0) return;
    try {
      const known = new Set((await this.parts.store.phones()).map(({ id }) => id));
      for (const phone of phones) {
        const { phone: id } = phone.data.access;
        if (!this.dropIfOver(phone) && id !== null && !known.has(id)) phone.disconnect(true);
      }
    } catch (error) {
      this.log.error({ err: error }, 'phones could not be looked up');
    }
  }

  private dropIfOver(phone: Phone): boolean {
    if (!isOver(phone.data.access, this.parts.clock.now())) return false;
    phone.disconnect(true);
    return true;
  }

  private phones(): Phone[] {
    return [...this.io.sockets.sockets.values()];
  }

  /** What a phone is told of a failure: as little of the inside as over HTTP. */
  private refusal(error: Error): Error & { data?: unknown } {
    if (!(error instanceof SunsteepError)) this.log.error({ err: error }, 'socket failed');
    const problem = problemOfAny(error);
    return Object.assign(new Error(problem.detail), { data: problem });
  }
}

const roomOf = (tub: string): string => `tub/${tub}`;

/** @throws SunsteepError SUNSTEEP_NOT_PAIRED; SUNSTEEP_NOT_ALLOWED for a foreign page */
async function admit(phone: Phone, door: Door): Promise<void> {
  const { auth, headers } = phone.handshake;
  phone.data.access =
    typeof auth.token === 'string' ? door.admitToken(auth.token) : await door.admit(headers, true);
}

function parsed(request: unknown): { tub: string } {
  const result = requestSchema.safeParse(request);
  if (result.success) return result.data;
  throw new SunsteepError('SUNSTEEP_CALL_INVALID', 'watch takes { "tub": … }.');
}

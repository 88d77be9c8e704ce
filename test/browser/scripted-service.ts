import type { AddressInfo, Socket } from 'node:net';
import fastifyStatic from '@fastify/static';
import Fastify, { type FastifyInstance, type FastifyReply } from 'fastify';
import { Server } from 'socket.io';
import { qrPicture } from '../../collector-service/serve/qr-picture.ts';
import type { LogEntryShape } from '../../model/owner-log.ts';
import type { Setup } from '../../model/setup.ts';
import type {
  Alert,
  ClientEvents,
  Connect,
  Day,
  DayWithQuarters,
  Evening,
  Month,
  Now,
  ServerEvents,
  Tubs,
} from '../../model/shapes.ts';
import { present } from './situation.ts';

/** What the service is to say; a test changes it at will. */
export interface Script {
  paired: boolean;
  /** Codes that still pair a phone. */
  codes: string[];
  /** Whether pages under this address are taken for somebody else's, as behind a proxy. */
  foreign?: boolean;
  right: 'full' | 'viewer';
  tubs: Tubs;
  now: Record<string, Now>;
  days: Record<string, DayWithQuarters>;
  /** By tub; of another the service cannot say. */
  evenings: Record<string, Evening>;
  /** By tub, the newest raised first. */
  alerts: Record<string, Alert[]>;
  /** By tub, in order. */
  months: Record<string, Month[]>;
  /** By tub, the newest first. */
  log: Record<string, LogEntryShape[]>;
  /** Daily means of points, by month and point. */
  means: Record<string, Record<string, { mean: number; count: number }[]>>;
  /** Paired phones and open links, as the service lists them. */
  phones: object[];
  /** By which push services know the house. */
  publicKey: string;
  /** How this phone is told; `state` is that of the channel. */
  telling: { wishes: object | null; state: { waiting: number; trouble: string | null } };
  connect: Connect;
  setup: { document: Setup; etag: string };
}

interface Named {
  tub: string;
  id: string;
  verb: string;
}

interface Answered {
  until?: string;
  why?: string;
}

/** What the service makes of an answer. */
function answered(verb: string, body: Answered, now: string): Partial<Alert> {
  if (verb === 'acknowledge') return { acknowledgedAt: now };
  if (verb === 'not-a-fault') return { until: now, acknowledgedAt: now };
  const over = Date.parse(body.until!) <= Date.parse(now);
  return { shelvedUntil: over ? null : new Date(body.until!).toISOString() };
}

const policy =
  "default-src 'self'; img-src 'self' data:; style-src 'self'; connect-src 'self' ws: wss:";

/** The page's own origin, with scripted answers in place of a house with a tub. */
export class ScriptedService {
  readonly script: Script;
  /** Every request to the API, in order. */
  readonly requests: string[] = [];
  /** The service's own time; null: whatever the scripted answers say. */
  at: string | null = null;
  /** Whether what lies between lets sockets through. */
  socketsPass = true;
  /** Until this resolves, nothing is told of the evening. */
  eveningHeldBack: Promise<void> = Promise.resolve();
  /** Until this resolves, the list of alerts is not told. */
  alertsHeldBack: Promise<void> = Promise.resolve();
  /** What people said to alerts, in order. */
  readonly answers: [id: string, verb: string, body: Answered][] = [];
  private readonly folder: string;
  private app: FastifyInstance | null = null;
  private sockets: Server<ClientEvents, ServerEvents> | null = null;
  private port = 0;
  private readonly connections = new Set<Socket>();

  constructor(folder: string, script: Script) {
    this.folder = folder;
    this.script = script;
  }

  get url(): string {
    return `http://127.0.0.1:${this.port}`;
  }

  /** Listens on a free port, and on the same one when it is started again. */
  async start(): Promise<void> {
    const app = Fastify({ forceCloseConnections: true });
    app.addHook('onSend', async (_, reply) => {
      reply.header('content-security-policy', policy);
    });
    await app.register(fastifyStatic, { root: this.folder });
    app.setNotFoundHandler((request, reply) =>
      request.url.startsWith('/api') ? problem(reply, 404) : reply.sendFile('index.html'),
    );
    await app.register(async (api) => this.answer(api), { prefix: '/api' });
    this.sockets = new Server(app.server, {
      serveClient: false,
      allowRequest: (_, decide) => decide(null, this.socketsPass),
    });
    this.sockets.use(({ handshake }, next) => {
      const fromOurPage = handshake.headers.origin === this.url;
      next(this.script.paired && fromOurPage ? undefined : new Error('not let in'));
    });
    this.sockets.on('connection', (socket) => {
      socket.on('watch', ({ tub }, answer) => {
        socket.join(tub);
        const now = this.now(tub);
        answer?.(now ? { ...now, tub } : { problem: 'no such tub' });
      });
    });
    app.server.on('connection', (connection) => {
      this.connections.add(connection);
      connection.once('close', () => this.connections.delete(connection));
    });
    await app.listen({ host: '127.0.0.1', port: this.port });
    this.port = (app.server.address() as AddressInfo).port;
    this.app = app;
  }

  /** Ends as when its process is killed: every connection breaks at once. */
  async stop(): Promise<void> {
    if (this.app === null) return;
    for (const connection of this.connections) connection.destroy();
    this.sockets?.engine.close();
    await this.app.close();
    this.app = null;
  }

  private now(tub: string): Now | null {
    const now = this.script.now[tub];
    return now === undefined ? null : { ...now, at: this.at ?? now.at };
  }

  /** The tub has news, which goes out on the socket. */
  tell(tub: string, now: Now): void {
    this.script.now[tub] = now;
    this.sockets?.to(tub).emit('now', { ...now, tub });
  }

  /** News of one tub goes out to those who watch another. */
  tellWrongly(watching: string, tub: string, now: Now): void {
    this.sockets?.to(watching).emit('now', { ...now, tub });
  }

  tellDay(tub: string, day: Day): void {
    this.sockets?.to(tub).emit('day', { ...day, tub });
  }

  /** An alert was raised, has changed or has ended: both the event and what is so now tell of it. */
  tellAlert(alert: Alert): void {
    const { tub } = alert;
    const others = (this.script.alerts[tub] ?? []).filter(({ id }) => id !== alert.id);
    this.script.alerts[tub] = [alert, ...others];
    this.sockets?.to(tub).emit('alert', { ...alert, tub });
    const standing = this.script.alerts[tub].filter(({ until }) => until === null);
    this.tell(tub, { ...this.script.now[tub]!, alerts: standing });
  }

  /** Resolves once a phone watches the tub. */
  async watched(tub: string): Promise<void> {
    while (!(this.sockets?.sockets.adapter.rooms.get(tub)?.size ?? 0)) {
      await new Promise((resolve) => setTimeout(resolve, 10));
    }
  }

  /** Shuts out whoever is in, as when a phone is removed. */
  shutOut(): void {
    this.script.paired = false;
    this.sockets?.disconnectSockets(true);
  }

  private answer(api: FastifyInstance): void {
    const { script } = this;
    api.addHook('onRequest', async (request, reply) => {
      this.requests.push(`${request.method} ${request.url}`);
      if (!script.paired && request.url !== '/api/pair') return problem(reply, 401);
      const changes = request.method !== 'GET';
      if (changes && request.headers.origin !== this.url) return problem(reply, 403);
    });
    api.post<{ Body: { code: string } }>('/pair', ({ body }, reply) => {
      if (script.foreign) return problem(reply, 403, 'SUNSTEEP_NOT_ALLOWED');
      const at = script.codes.indexOf(body.code);
      if (at < 0) return problem(reply, 403, 'SUNSTEEP_CODE_UNKNOWN');
      script.codes.splice(at, 1);
      script.paired = true;
      return reply.send({});
    });
    api.get<{ Querystring: { now?: string } }>('/tubs', ({ query }) => {
      const [only, ...others] = script.tubs.items;
      if (query.now !== 'true') return script.tubs;
      return { ...script.tubs, now: only && others.length === 0 ? this.now(only.id) : null };
    });
    api.get<{ Params: { tub: string } }>(
      '/tubs/:tub/now',
      ({ params }, reply) => this.now(params.tub) ?? problem(reply, 404),
    );
    api.get<{ Params: { tub: string; date: string } }>(
      '/tubs/:tub/days/:date',
      ({ params }, reply) => script.days[params.date] ?? problem(reply, 404),
    );
    type Span = { Params: { tub: string }; Querystring: { from: string; to: string } };
    api.get<Span>('/tubs/:tub/days', ({ query: { from, to } }) => {
      const days = Object.values(script.days).filter(({ date }) => from <= date && date <= to);
      return { items: days.toSorted((a, b) => (a.date < b.date ? -1 : 1)), next: null };
    });
    api.get<Span>('/tubs/:tub/months', async ({ params, query: { from, to } }, reply) => {
      const months = script.months[params.tub];
      if (months === undefined) return problem(reply, 404);
      return { items: months.filter(({ month }) => from <= month && month <= to), next: null };
    });
    api.get<Span>('/tubs/:tub/readings', ({ query: { from } }) => {
      const means = Object.entries(script.means[from.slice(0, 7)] ?? {});
      return { points: Object.fromEntries(means.map(([name, buckets]) => [name, { buckets }])) };
    });
    this.answerLog(api);
    api.get<{ Params: { tub: string } }>('/tubs/:tub/evening', async ({ params }, reply) => {
      await this.eveningHeldBack;
      return script.evenings[params.tub] ?? problem(reply, 404);
    });
    api.get<{ Params: { tub: string } }>('/tubs/:tub/alerts', async ({ params }) => {
      await this.alertsHeldBack;
      return { items: script.alerts[params.tub] ?? [], next: null };
    });
    api.post<{ Params: Named; Body: Answered }>(
      '/tubs/:tub/alerts/:id/:verb',
      ({ params, body }, reply) => {
        if (script.right !== 'full') return problem(reply, 403);
        const found = script.alerts[params.tub]?.find(({ id }) => id === params.id);
        if (found === undefined) return problem(reply, 404);
        this.answers.push([params.id, params.verb, body]);
        const now = this.at ?? this.now(params.tub)!.at;
        const alert = { ...found, ...answered(params.verb, body, now) };
        this.tellAlert(alert);
        return reply.send(alert);
      },
    );
    // Told only to whoever may change something.
    api.get('/telling', (_, reply) =>
      script.right === 'full'
        ? { items: [{ channel: 'push', recipients: 1, lastSentAt: null, ...script.telling.state }] }
        : problem(reply, 403),
    );
    this.answerPhones(api);
    api.get('/connect', (_, reply) =>
      script.right === 'full' ? script.connect : problem(reply, 403),
    );
    api.get('/setup', (_, reply) =>
      script.right === 'full'
        ? reply.header('etag', script.setup.etag).send(script.setup.document)
        : problem(reply, 403),
    );
    api.put<{ Body: Setup }>('/setup', ({ body, headers }, reply) => {
      if (headers['if-match'] !== script.setup.etag) return problem(reply, 412);
      script.setup = { document: body, etag: `"${Number(script.setup.etag.slice(1, -1)) + 1}"` };
      this.onSetup(body);
      return reply.header('etag', script.setup.etag).send(body);
    });
  }

  private answerPhones(api: FastifyInstance): void {
    const { script } = this;
    api.get('/phones', (_, reply) =>
      script.right === 'full' ? { items: script.phones, next: null } : problem(reply, 403),
    );
    api.post<{ Body: Record<string, unknown> }>('/phones', ({ body }, reply) => {
      const link = { id: 'l9', link: `${this.url}/pair#CZBCqs0y9zWz5ZZn0C2jAg` };
      const expires = new Date(Date.parse(this.at ?? present) + 600_000).toISOString();
      script.phones.push({ tubs: null, until: null, ...body, kind: 'link', id: link.id, expires });
      return reply.code(201).send({ ...link, picture: qrPicture(link.link), expires });
    });
    const toldNow = () => ({ publicKey: script.publicKey, wishes: script.telling.wishes });
    api.get('/telling/push', toldNow);
    api.put<{ Body: { wishes: object } }>('/telling/push', ({ body }) => {
      script.telling.wishes = body.wishes;
      return toldNow();
    });
    api.delete('/telling/push', (_, reply) => {
      script.telling.wishes = null;
      return reply.code(204).send();
    });
  }

  private answerLog(api: FastifyInstance): void {
    const { script } = this;
    type Tub = { Params: { tub: string } };
    const mayWrite = () => script.right === 'full';
    api.get<Tub>('/tubs/:tub/log', ({ params }) => ({
      items: script.log[params.tub] ?? [],
      next: null,
    }));
    api.post<Tub & { Body: Omit<LogEntryShape, 'id'> }>('/tubs/:tub/log', (request, reply) => {
      if (!mayWrite()) return problem(reply, 403);
      const entries = script.log[request.params.tub] ?? [];
      const entry = { id: `told-${entries.length}`, ...request.body };
      const later = (a: LogEntryShape, b: LogEntryShape) => Date.parse(b.from) - Date.parse(a.from);
      script.log[request.params.tub] = [entry, ...entries].sort(later);
      return reply.code(201).send(entry);
    });
    api.delete<{ Params: { tub: string; id: string } }>('/tubs/:tub/log/:id', (request, reply) => {
      const { tub, id } = request.params;
      if (!mayWrite()) return problem(reply, 403);
      const entries = script.log[tub] ?? [];
      script.log[tub] = entries.filter((entry) => entry.id !== id);
      return script.log[tub].length < entries.length ? reply.code(204).send() : problem(reply, 404);
    });
  }

  /** What a new set-up changes in the script; a test says it. */
  onSetup: (setup: Setup) => void = () => {};
}

const problem = (reply: FastifyReply, status: number, code?: string) =>
  reply
    .code(status)
    .type('application/problem+json')
    .send({
      title: `refused with ${status}`,
      status,
      detail: `The test refused with ${status}.`,
      ...(code && { code }),
    });

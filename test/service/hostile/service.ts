import { type AddressInfo, connect } from 'node:net';
import { Writable } from 'node:stream';
import { systemClock } from '../../../collector-service/clock.ts';
import { makeLog } from '../../../collector-service/serve/log.ts';
import { makeLink, type Rights } from '../../../collector-service/serve/pairing.ts';
import { type Service, startService } from '../../../collector-service/service.ts';
import type { Settings } from '../../../collector-service/settings.ts';
import type { Setup } from '../../../model/setup.ts';
import { temporaryFolder } from '../../store/folders.ts';
import { kowhai, lower } from '../serve/samples.ts';

/** The whole service of one file of these tests, as it runs at home, on free ports of the loopback. */

export const TOKEN = 'a-token-for-scripts-of-these-tests-alone';
export const PASSWORD = 'for-the-boards';

export interface Running {
  service: Service;
  folder: string;
  /** `http://127.0.0.1:PORT` */
  url: string;
  port: number;
  clock: { ahead: number; now(): number };
  /** Every line that was logged. */
  logged: string[];
  /** Pairs a phone; gives what its browser then sends. */
  pair(rights?: Partial<Rights>): Promise<{ id: string; cookie: string }>;
  /** Bytes as they are on a bare connection; what came until the service ended it. */
  raw(bytes: string | Uint8Array): Promise<string>;
  /** The names and methods of every route, as the router knows them. */
  routes(): string[];
  close(): Promise<void>;
}

export async function runService(change: Partial<Settings> = {}, set?: Setup): Promise<Running> {
  const { folder, remove } = temporaryFolder();
  const settings: Settings = {
    ...{ data: folder, host: '127.0.0.1', port: 0, url: null, token: TOKEN, tls: null },
    ...{ logLevel: 'trace', outsideBroker: null },
    broker: {
      ...{ host: '0.0.0.0', port: 0, tlsPort: 0, password: PASSWORD },
      readerPassword: 'for-readers',
    },
    ...change,
  };
  const logged: string[] = [];
  const lines = new Writable({
    write: (chunk, _encoding, done) => {
      logged.push(String(chunk));
      done();
    },
  });
  const clock = { ahead: 0, now: () => systemClock.now() + clock.ahead };
  const log = makeLog('trace', lines);
  const service = await startService({ settings, clock, log, demo: false });
  const { port } = service.app.server.address() as AddressInfo;
  await service.watch.putSetup(set ?? { tubs: [kowhai, lower] }, Number.NEGATIVE_INFINITY);

  async function pair(rights: Partial<Rights> = {}) {
    const all = { right: 'full' as const, tubs: null, until: null, ...rights };
    const { link } = await makeLink(service.store, clock, `http://127.0.0.1:${port}`, all);
    const answer = await service.app.inject({
      ...{ method: 'POST', url: '/api/pair', payload: { code: link.split('#')[1] } },
      // each from an address of its own, so that none meets the limit of another
      remoteAddress: `127.0.1.${++paired % 250}`,
    });
    const cookie = String(answer.headers['set-cookie']).split(';')[0]!;
    return { id: answer.json().id as string, cookie };
  }
  let paired = 0;

  async function raw(bytes: string | Uint8Array): Promise<string> {
    const socket = connect(port, '127.0.0.1');
    socket.on('error', () => {});
    socket.write(bytes);
    const pieces: Buffer[] = [];
    for await (const piece of socket) pieces.push(piece as Buffer);
    return Buffer.concat(pieces).toString('latin1');
  }

  return {
    ...{ service, folder, url: `http://127.0.0.1:${port}`, port, clock, logged, pair, raw },
    routes: () => served(service.app.printRoutes({ commonPrefix: false })),
    async close() {
      await service.stop();
      remove();
    },
  };
}

/** Method and path of every route, from the tree in which the router prints them. */
function served(tree: string): string[] {
  const above: string[] = [];
  return tree.split('\n').flatMap((line) => {
    const [, indent, part, methods] = /^([ │]*)[├└]── (\S+) \((.*)\)$/.exec(line) ?? [];
    if (!part) return [];
    above.length = indent!.length / 4;
    above.push(part);
    return methods!.split(', ').map((method) => `${method} ${above.join('')}`);
  });
}

export const asScript = { authorization: `Bearer ${TOKEN}` };

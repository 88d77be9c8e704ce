import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Outgoing } from '../../../collector-service/notify/channel.ts';
import type { Message } from '../../../model/alerts/notice.ts';
import type { Setup } from '../../../model/setup.ts';
import { alert, kowhai } from '../serve/samples.ts';

export const T0 = Date.parse('2026-03-01T02:00:00Z');
export const clock = { now: () => T0 };

export const message = (more: Partial<Message> = {}): Message => ({
  event: 'raised',
  severity: 'act',
  tub: 'kowhai',
  title: 'Kōwhai Terrace',
  text: 'The pump stands still though the sun is out. Check its plug.',
  alerts: [alert],
  at: new Date(T0).toISOString(),
  ...more,
});
export const outgoing = (more: Partial<Message> = {}): Outgoing => ({
  id: '1772330400000-1',
  message: message(more),
});

export const setupWith = (notify: Setup['notify']) => (): Setup => ({ tubs: [kowhai], notify });

export interface Call {
  path: string;
  headers: IncomingMessage['headers'];
  body: Buffer;
}

/** A server on the loopback that remembers what it was sent, and answers as it is told. */
export async function receiver(answer: (response: ServerResponse, call: Call) => void) {
  const calls: Call[] = [];
  const server = createServer(async (request, response) => {
    const call = await callOf(request);
    calls.push(call);
    answer(response, call);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  const close = () =>
    new Promise((resolve) => {
      server.close(resolve);
      server.closeAllConnections();
    });
  return { port, calls, close };
}

export async function callOf(request: IncomingMessage): Promise<Call> {
  const parts: Buffer[] = [];
  for await (const part of request) parts.push(part);
  return { path: request.url!, headers: request.headers, body: Buffer.concat(parts) };
}

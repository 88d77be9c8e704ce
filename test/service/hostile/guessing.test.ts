import { connect } from 'node:net';
import mqttPacket, { type IConnackPacket, type Packet } from 'mqtt-packet';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { makeLink } from '../../../collector-service/serve/pairing.ts';
import { asScript, PASSWORD, type Running, runService } from './service.ts';

/** Who guesses is held up, and nobody else is: addresses of the loopback stand for a home's devices. */

let house: Running;
beforeAll(async () => {
  house = await runService();
});
afterAll(() => house.close());

const MINUTE = 60_000;

const newCode = async () => {
  const rights = { right: 'viewer' as const, tubs: null, until: null };
  const { link } = await makeLink(house.service.store, house.clock, house.url, rights);
  return link.split('#')[1]!;
};
const redeem = async (
  code: unknown,
  remoteAddress: string,
  headers: Record<string, string> = {},
) => {
  const payload = { code };
  const { inject } = house.service.app;
  return (await inject({ method: 'POST', url: '/api/pair', payload, remoteAddress, headers }))
    .statusCode;
};

test('guessing pairing codes ends at ten a minute, whatever address is claimed', async () => {
  const guesser = '192.0.2.66';
  for (let n = 0; n < 10; n++) expect(await redeem(`guess${n}`, guesser)).toBe(403);
  const claims = ['x-forwarded-for', 'forwarded', 'x-real-ip', 'client-ip', 'cf-connecting-ip'];
  for (const name of claims) {
    expect(await redeem('guess', guesser, { [name]: '192.0.2.1' }), name).toBe(429);
  }
  for (const form of ['{}', '{"code":1}', 'x']) {
    const answer = await house.service.app.inject({
      ...{ method: 'POST', url: '/api/pair', payload: form, remoteAddress: guesser },
      headers: { 'content-type': 'application/json' },
    });
    expect(answer.statusCode).toBe(429);
  }
});

test('meanwhile others pair, and who is paired sees on, from the guesser’s own address too', async () => {
  const guesser = '192.0.2.67';
  const { cookie } = await house.pair();
  for (let n = 0; n < 11; n++) await redeem(`guess${n}`, guesser);
  expect(await redeem(await newCode(), guesser)).toBe(429);
  expect(await redeem(await newCode(), '192.0.2.1')).toBe(200);
  for (const headers of [{ cookie }, asScript]) {
    const answer = await house.service.app.inject({
      ...{ url: '/api/tubs', remoteAddress: guesser, headers },
    });
    expect(answer.statusCode).toBe(200);
  }
  house.clock.ahead = MINUTE;
  expect(await redeem(await newCode(), guesser)).toBe(200);
  house.clock.ahead = 0;
});

test('a code that is nearly right pairs nobody, and one that is right pairs once', async () => {
  const code = await newCode();
  const wrong = [
    code.slice(1),
    `${code}A`,
    ` ${code}`,
    code.toLowerCase(),
    `${code.slice(0, 21)}-`,
  ];
  for (const [n, guess] of wrong.entries()) {
    if (guess !== code) expect(await redeem(guess, `198.51.100.${n}`)).toBe(403);
  }
  expect(await redeem(code, '198.51.100.99')).toBe(200);
  expect(await redeem(code, '198.51.100.98')).toBe(403);
});

/** A connection to the embedded broker from an address of its own. */
async function board(
  from: string,
  login: { username?: string; password?: string; clientId?: string },
) {
  const socket = connect({
    host: '127.0.0.1',
    port: house.service.broker!.port,
    localAddress: from,
  });
  socket.on('error', () => {});
  const parser = mqttPacket.parser({ protocolVersion: 4 });
  const packets: Packet[] = [];
  let wake = () => {};
  parser.on('packet', (packet) => {
    packets.push(packet);
    wake();
  });
  socket.on('data', (bytes) => parser.parse(bytes));
  socket.on('close', () => wake());
  const next = async (): Promise<Packet | null> => {
    while (packets.length === 0 && !socket.closed) await new Promise<void>((go) => (wake = go));
    return packets.shift() ?? null;
  };
  const { clientId = `${from}-${Math.random()}`, username, password } = login;
  socket.write(
    mqttPacket.generate({
      ...{ cmd: 'connect', protocolId: 'MQTT', protocolVersion: 4, clean: true, keepalive: 0 },
      ...{ clientId, ...(username !== undefined && { username }) },
      ...(password !== undefined && { password: Buffer.from(password) }),
    }),
  );
  const answer = (await next()) as IConnackPacket | null;
  return {
    code: answer?.returnCode ?? null,
    /** Whether a message is acknowledged. */
    async publishes(): Promise<boolean> {
      const topic = 'sunsteep/kowhai/tub/temperature';
      socket.write(
        mqttPacket.generate({
          ...{ cmd: 'publish', topic, payload: '37', qos: 1, messageId: 7 },
          ...{ dup: false, retain: false },
        }),
      );
      return (await next())?.cmd === 'puback';
    },
    end: () => socket.destroy(),
  };
}
const right = { username: 'sensor', password: PASSWORD };
const [IN, WAIT, WRONG] = [0, 3, 4];

test('guessing the boards’ password ends at five a minute, and keeps out nobody else', async () => {
  const before = await board('127.0.0.2', { ...right, clientId: 'shed' });
  expect(before.code).toBe(IN);
  for (let n = 0; n < 5; n++) {
    const { code, end } = await board('127.0.0.2', { username: 'sensor', password: `guess${n}` });
    expect(code).toBe(WRONG);
    end();
  }
  const held = await board('127.0.0.2', { username: 'sensor', password: 'guess5' });
  expect(held.code).toBe(WAIT);
  expect((await board('127.0.0.2', right)).code).toBe(WAIT); // a right guess tells no more
  // who is in stays in, and other addresses come in
  expect(await before.publishes()).toBe(true);
  const other = await board('127.0.0.3', right);
  expect(other.code).toBe(IN);
  expect(await other.publishes()).toBe(true);
  house.clock.ahead = MINUTE;
  const later = await board('127.0.0.2', right);
  expect(later.code).toBe(IN);
  house.clock.ahead = 0;
  for (const { end } of [before, other, later]) end();
});

test('a login without a right takes nobody’s place, whoever it says that it is', async () => {
  const shed = await board('127.0.0.4', { ...right, clientId: 'the-shed' });
  const logins = [
    {},
    { username: 'sensor' },
    { username: 'admin', password: PASSWORD },
    { username: 'reader', password: PASSWORD },
    { username: '__proto__', password: PASSWORD },
  ];
  for (const [n, login] of logins.entries()) {
    const { code, end } = await board(`127.0.1.${n + 1}`, { ...login, clientId: 'the-shed' });
    expect(code, JSON.stringify(login)).not.toBe(IN);
    end();
  }
  expect(await shed.publishes()).toBe(true);
  shed.end();
});

test('refused logins are listed by address and user, and no guess stands anywhere', async () => {
  const answer = await house.service.app.inject({ url: '/api/connect', headers: asScript });
  const { refused } = answer.json();
  expect(refused.length).toBeGreaterThan(5);
  expect(refused.length).toBeLessThanOrEqual(20);
  expect(JSON.stringify(refused) + house.logged.join('')).not.toMatch(/guess\d/);
});

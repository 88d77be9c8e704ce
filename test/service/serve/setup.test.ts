import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Setup } from '../../../model/setup.ts';
import { asPage, asScript, type House, openHouse, T0 } from './house.ts';
import { kowhai, lower } from './samples.ts';

let house: House;
beforeEach(async () => {
  house = await openHouse();
});
afterEach(() => house.close());

type Headers = Record<string, string>;

const get = (headers: Headers = asScript) => house.app.inject({ url: '/api/setup', headers });
const put = (payload: unknown, query = '', headers: Headers = {}) =>
  house.app.inject({
    method: 'PUT',
    url: `/api/setup${query}`,
    headers: { ...asScript, 'content-type': 'application/json', ...headers },
    payload: JSON.stringify(payload),
  });
const paths = (answer: { json(): { faults: { path: string }[] } }) =>
  answer.json().faults.map(({ path }) => path);

const mail = { host: 'mail.test', from: 'tub@mail.test', to: ['owner@mail.test'] };
const webhook = { url: 'https://hook.test/' };
const withSecrets: Setup = {
  tubs: [kowhai, lower],
  wiring: [{ topic: 'shed/a', tub: 'kowhai', point: 'tub/temperature' }],
  notify: {
    mail: { ...mail, password: 'mail-hush' },
    webhook: { ...webhook, secret: 'hook-hush' },
  },
};

test('the set-up comes with its ETag, and a changed one gets another', async () => {
  const first = await get();
  expect(first.json()).toEqual({ tubs: [kowhai, lower] });
  expect(first.headers.etag).toBe('"1"');
  const answer = await put({ tubs: [kowhai] });
  expect(answer.statusCode).toBe(200);
  expect(answer.json()).toEqual({ tubs: [kowhai] });
  expect(answer.headers.etag).toBe('"2"');
  expect((await get()).headers.etag).toBe('"2"');
});

test('a change on top of an older set-up is refused', async () => {
  for (const tag of ['"1"', 'W/"1"', '"0", "1"', '*']) {
    const answer = await put({ tubs: [kowhai, lower] }, '', { 'if-match': tag });
    expect(answer.statusCode).toBe(200);
    house.watching.versions.length = 1;
  }
  await put({ tubs: [kowhai] });
  for (const query of ['', '?preview=true']) {
    const late = await put({ tubs: [lower] }, query, { 'if-match': '"1"' });
    expect(late.statusCode).toBe(412);
    expect(late.json().code).toBe('SUNSTEEP_SETUP_CHANGED');
  }
  expect((await get()).json()).toEqual({ tubs: [kowhai] });
});

test('a set-up holds from now, from always or from an instant', async () => {
  for (const [query, from] of [
    ['', T0],
    ['?from=now', T0],
    ['?from=always', Number.NEGATIVE_INFINITY],
    ['?from=2026-02-01T00:00:00Z', Date.parse('2026-02-01T00:00:00Z')],
    ['?from=2026-02-01T13:00:00%2B13:00', Date.parse('2026-02-01T00:00:00Z')],
    ['?from=2026-02-01T13:00:00+13:00', Date.parse('2026-02-01T00:00:00Z')],
  ] as const) {
    expect((await put({ tubs: [kowhai] }, query)).statusCode).toBe(200);
    expect(house.watching.versions.at(-1)?.from).toBe(from);
  }
  for (const query of ['?from=yesterday', '?from=2026-02-30T00:00:00Z', '?preview=maybe']) {
    const answer = await put({ tubs: [kowhai] }, query);
    expect(answer.statusCode).toBe(400);
    expect(answer.json().code).toBe('SUNSTEEP_CALL_INVALID');
  }
});

test('a preview lists the days that would change, and changes nothing', async () => {
  const answer = await put({ tubs: [kowhai] }, '?preview=true&from=always');
  expect(answer.statusCode).toBe(200);
  expect(answer.json()).toEqual({
    items: [
      { tub: 'kowhai', dates: ['2026-03-01'] },
      { tub: 'lower', dates: ['2026-03-01'] },
    ],
    next: null,
  });
  expect(house.watching.asked).toEqual([
    { preview: { tubs: [kowhai] }, from: Number.NEGATIVE_INFINITY },
  ]);
  expect(house.watching.versions).toHaveLength(1);
});

test('a bad set-up is refused whole, with the place of every fault', async () => {
  const answer = await put({
    tubs: [
      { ...kowhai, place: { ...kowhai.place, latitude: 91, timeZone: 'Mars/Dusty' }, colour: 1 },
      { id: 'Bad Name', tub: { litres: 'many', sets: 1 } },
      {
        ...lower,
        sensors: { 'pump/flavour': {}, 'a/b~c': {} },
        corrections: { 'pump/flow': { x: 1 } },
      },
    ],
    wiring: [{ topic: 'sunsteep/kowhai/x', tub: 'kowhai', point: 'tub/temperature' }],
    extra: true,
  });
  expect(answer.statusCode).toBe(422);
  expect(answer.json()).toMatchObject({ code: 'SUNSTEEP_SETUP_INVALID', status: 422 });
  expect(paths(answer).sort()).toEqual([
    '/extra',
    '/tubs/0/colour',
    '/tubs/0/place/latitude',
    '/tubs/0/place/timeZone',
    '/tubs/1/id',
    '/tubs/1/place',
    '/tubs/1/tub/litres',
    '/tubs/1/tub/sets',
    '/tubs/2/corrections/pump~1flow/x',
    '/tubs/2/sensors/a~1b~0c',
    '/tubs/2/sensors/pump~1flavour',
    '/wiring/0/topic',
  ]);
  for (const { why } of answer.json().faults) expect(why.length).toBeGreaterThan(5);
  expect(house.watching.versions).toHaveLength(1);
});

test('what no schema can say is refused with its place too', async () => {
  const answer = await put({
    tubs: [kowhai, lower, kowhai],
    wiring: [{ topic: 'shed/+', tub: 'kowhai', point: 'tub/temperature' }],
  });
  expect(answer.statusCode).toBe(422);
  expect(paths(answer)).toEqual(['/tubs/2/id', '/wiring/0/topic']);
});

test('what is no document at all is refused', async () => {
  for (const payload of [null, [], 'text', 7]) {
    const answer = await put(payload);
    expect(answer.statusCode).toBe(422);
    expect(paths(answer)).toEqual(['']);
  }
  const proto = await house.app.inject({
    method: 'PUT',
    url: '/api/setup',
    headers: { ...asScript, 'content-type': 'application/json' },
    payload: '{"tubs":[],"__proto__":{"x":1}}',
  });
  expect(proto.statusCode).toBe(400);
});

test('secrets are written and never read back', async () => {
  const answer = await put(withSecrets);
  expect(answer.statusCode).toBe(200);
  expect(house.watching.setup().setup).toEqual(withSecrets);
  const shown = {
    ...withSecrets,
    notify: {
      mail: { ...mail, password: { set: true } },
      webhook: { ...webhook, secret: { set: true } },
    },
  };
  expect(answer.json()).toEqual(shown);
  expect((await get()).json()).toEqual(shown);
  expect(house.logged.join('')).not.toContain('hush');
});

test('what was read can be sent back: the stored secrets stay', async () => {
  await put(withSecrets);
  const shown = (await get()).json();
  shown.tubs[0].name = 'Upper';
  expect((await put(shown)).statusCode).toBe(200);
  const { notify, tubs } = house.watching.setup().setup;
  expect(tubs[0]?.name).toBe('Upper');
  expect(notify).toEqual(withSecrets.notify);
});

test('a secret goes where it is left out, unset or replaced', async () => {
  await put(withSecrets);
  await put({
    ...withSecrets,
    notify: { mail: { ...mail, password: { set: false } }, webhook: { ...webhook, secret: 'new' } },
  });
  expect(house.watching.setup().setup.notify).toEqual({
    mail,
    webhook: { ...webhook, secret: 'new' },
  });
  await put({ ...withSecrets, notify: { mail: null, webhook } });
  expect(house.watching.setup().setup.notify).toEqual({ mail: null, webhook });
});

test('a stored password goes to no other server than the one it was given for', async () => {
  await put(withSecrets);
  const kept = { ...mail, password: { set: true } };
  for (const change of [
    { host: 'elsewhere.test' },
    { port: 25 },
    { user: 'x' },
    { secure: false },
  ]) {
    const answer = await put({ tubs: [kowhai], notify: { mail: { ...kept, ...change } } });
    expect(answer.statusCode).toBe(422);
    expect(paths(answer)).toEqual(['/notify/mail/password']);
  }
  const moved = { ...kept, to: ['other@mail.test'] };
  expect((await put({ tubs: [kowhai], notify: { mail: moved } })).statusCode).toBe(200);
  expect(house.watching.setup().setup.notify?.mail?.password).toBe('mail-hush');
});

test('an address of mail ends no line and names one person', async () => {
  const refused = ['a@b\r\nBcc: c@d', 'a@b, c@d', 'a@b; c@d', 'nobody', 'a@b>\n', 'a b@'];
  for (const address of refused) {
    const answer = await put({ tubs: [kowhai], notify: { mail: { ...mail, to: [address] } } });
    expect(paths(answer), address).toEqual(['/notify/mail/to/0']);
    const from = await put({ tubs: [kowhai], notify: { mail: { ...mail, from: address } } });
    expect(paths(from), address).toEqual(['/notify/mail/from']);
  }
  for (const address of ['a@b', 'Kōwhai Terrace <tub@mail.test>', '<a@b>', '"A B" <a@b.c>']) {
    const answer = await put({ tubs: [kowhai], notify: { mail: { ...mail, to: [address] } } });
    expect(answer.statusCode, address).toBe(200);
  }
});

test('a secret that was never stored cannot be kept', async () => {
  const answer = await put({
    tubs: [kowhai],
    notify: {
      mail: { ...mail, password: { set: true } },
      webhook: { ...webhook, secret: { set: true } },
    },
  });
  expect(answer.statusCode).toBe(422);
  expect(paths(answer)).toEqual(['/notify/mail/password', '/notify/webhook/secret']);
});

test('a right for some tubs reads and changes their part alone', async () => {
  await put(withSecrets);
  const { cookie } = await house.pair({ tubs: ['kowhai'] });
  expect((await get(asPage(cookie))).json()).toEqual({ tubs: [kowhai] });
  const ask = (payload: object, query = '') =>
    house.app.inject({
      method: 'PUT',
      url: `/api/setup${query}`,
      payload,
      headers: asPage(cookie),
    });
  const renamed = { ...kowhai, name: 'Upper' };
  const answer = await ask({ tubs: [renamed] });
  expect(answer.statusCode).toBe(200);
  expect(answer.json()).toEqual({ tubs: [renamed] });
  expect(house.watching.setup().setup).toEqual({ ...withSecrets, tubs: [lower, renamed] });

  const preview = await ask({ tubs: [kowhai] }, '?preview=true');
  expect(preview.json().items).toEqual([{ tub: 'kowhai', dates: ['2026-03-01'] }]);

  const before = house.watching.versions.length;
  for (const [payload, query] of [
    [{ tubs: [renamed, lower] }, ''],
    [{ tubs: [renamed], wiring: [] }, ''],
    [{ tubs: [renamed], notify: {} }, ''],
    [{ tubs: [renamed] }, '?from=always'],
  ] as const) {
    const refused = await ask(payload, query);
    expect(refused.statusCode).toBe(403);
  }
  expect(house.watching.versions).toHaveLength(before);
});

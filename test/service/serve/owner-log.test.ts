import { afterEach, beforeEach, expect, test } from 'vitest';
import { asPage, asScript, type House, openHouse, viewer } from './house.ts';

let house: House;
beforeEach(async () => {
  house = await openHouse();
});
afterEach(() => house.close());

const log = '/api/tubs/kowhai/log';
const post = (payload: object, url = log, headers: Record<string, string> = asScript) =>
  house.app.inject({ method: 'POST', url, headers, payload });
const get = (url = log) => house.app.inject({ url, headers: asScript });

const bath = { kind: 'bathing', from: '2026-03-01T18:00:00+13:00', until: '2026-03-01T06:00:00Z' };
const remark = { kind: 'remark', from: '2026-02-01T00:00:00Z', note: 'Ⓐ “quoted”' };

test('what is told comes back with an id, and in the list of its tub alone', async () => {
  const told = await post(bath);
  expect(told.statusCode).toBe(201);
  const { id, ...entry } = told.json();
  expect(entry).toEqual({
    ...bath,
    from: '2026-03-01T05:00:00.000Z',
    until: '2026-03-01T06:00:00.000Z',
  });
  const data = { fills: [{ litres: 10, seconds: 146 }], bucket: 'blue' };
  const test = { kind: 'bucket-test', from: '2026-03-02T00:00:00.000Z', data };
  expect((await post(test)).json()).toMatchObject(test);
  const list = (await get()).json();
  expect(list.next).toBeNull();
  expect(list.items).toHaveLength(2);
  expect(list.items).toContainEqual({ id, ...entry });
  expect((await get('/api/tubs/lower/log')).json()).toEqual({ items: [], next: null });
});

test('an entry that is taken out is gone; there is no other to take out', async () => {
  const { id } = (await post(remark)).json();
  const remove = (tub: string) =>
    house.app.inject({ method: 'DELETE', url: `/api/tubs/${tub}/log/${id}`, headers: asScript });
  expect((await remove('lower')).statusCode).toBe(404);
  const removed = await remove('kowhai');
  expect([removed.statusCode, removed.body]).toEqual([204, '']);
  expect((await get()).json().items).toEqual([]);
  const again = await remove('kowhai');
  expect(again.statusCode).toBe(404);
  expect(again.json()).toMatchObject({ code: 'SUNSTEEP_NOT_FOUND' });
});

test('an entry is taken out by a client that says JSON and sends none', async () => {
  const { id } = (await post(remark)).json();
  const headers = { ...asScript, 'content-type': 'application/json' };
  const removed = await house.app.inject({ method: 'DELETE', url: `${log}/${id}`, headers });
  expect(removed.statusCode).toBe(204);
  expect((await post({}, log, headers)).statusCode).toBe(400);
  const nothing = { method: 'POST' as const, url: log, headers, payload: '' };
  expect((await house.app.inject(nothing)).statusCode).toBe(400);
  const broken = { ...nothing, payload: '{"kind":' };
  expect((await house.app.inject(broken)).statusCode).toBe(400);
});

test('what cannot be told is refused, with the place of every fault', async () => {
  const places = async (payload: object) => {
    const answer = await post(payload);
    expect(answer.statusCode, answer.body).toBe(400);
    expect(answer.json().code).toBe('SUNSTEEP_CALL_INVALID');
    return answer.json().faults.map(({ path }: { path: string }) => path);
  };
  expect(await places({})).toEqual(['/kind', '/from']);
  expect(await places({ ...remark, to: 'x', id: 'mine' })).toEqual(['/to', '/id']);
  expect(await places({ ...bath, until: bath.from })).toEqual(['/until']);
  expect(await places({ kind: 'bucket-test', from: remark.from, data: {} })).toEqual(['/data']);
  const fills = [{ litres: 10 }, { seconds: -1, litres: 1 }];
  expect(await places({ kind: 'bucket-test', from: remark.from, data: { fills } })).toEqual([
    '/data/fills/0/seconds',
    '/data/fills/1/seconds',
  ]);
  for (const people of [0, -2, 1.5, 51, 'two']) {
    expect(await places({ ...bath, data: { people } })).toEqual(['/data/people']);
  }
  expect((await get()).json().items).toEqual([]);
});

test('a tub that there is not has no log', async () => {
  expect((await get('/api/tubs/nowhere/log')).statusCode).toBe(404);
  expect((await post(remark, '/api/tubs/nowhere/log')).statusCode).toBe(404);
});

test('a viewer reads the log and changes nothing of it', async () => {
  const { id } = (await post(remark)).json();
  const headers = asPage((await house.pair(viewer)).cookie);
  const read = await house.app.inject({ url: log, headers });
  expect(read.json().items).toHaveLength(1);
  expect((await post(bath, log, headers)).statusCode).toBe(403);
  const remove = { method: 'DELETE' as const, url: `${log}/${id}`, headers };
  expect((await house.app.inject(remove)).statusCode).toBe(403);
  expect((await get()).json().items).toHaveLength(1);
});

import { expect, test } from 'vitest';
import { openHouse, TOKEN } from './house.ts';
import { kowhai, lower, now } from './samples.ts';

const headers = { authorization: `Bearer ${TOKEN}` };

test('one request tells what is so with the only tub, and with none of several', async () => {
  const house = await openHouse();
  const ask = async (query: string) =>
    (await house.app.inject({ url: `/api/tubs${query}`, headers })).json();
  expect(await ask('')).not.toHaveProperty('now');
  expect(await ask('?now=true')).toMatchObject({ items: [{}, {}], now: null });
  await house.watching.putSetup({ tubs: [kowhai] }, 0);
  expect(await ask('?now=true')).toMatchObject({
    items: [{ id: kowhai.id }],
    now: { state: now.state, sentence: now.sentence },
  });
  const { cookie } = await house.pair({ tubs: [lower.id] });
  const other = await house.app.inject({ url: '/api/tubs?now=true', headers: { cookie } });
  expect(other.json()).toMatchObject({ items: [], now: null });
  await house.close();
});

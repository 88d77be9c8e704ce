import { expect, test } from 'vitest';
import { bytesOf, smallHouse } from './small-house.ts';

test('readings are read from the store no faster than the file is taken', async () => {
  const house = await smallHouse(60_000);
  let pages = 0;
  const { page } = house.store;
  house.store.page = (...args) => {
    pages++;
    return page.apply(house.store, args);
  };
  const pieces = house.handedOver('2026-02-27', '2026-03-03');
  const before: number[] = [];
  let [largest, size] = [0, 0];
  for await (const piece of pieces) {
    before.push(pages);
    largest = Math.max(largest, piece.length);
    size += piece.length;
  }
  expect(pages).toBe(25);
  // the first of a page is out before the next is asked for
  expect(new Set(before)).toEqual(new Set(Array.from({ length: 26 }, (_, n) => n)));
  console.log(`${size} bytes in ${before.length} pieces, the largest ${largest}`);
  expect(largest).toBeLessThan(300_000);
  await house.close();
});

test('a file that nobody takes any further lets the store go', async () => {
  const house = await smallHouse(30_000);
  const pieces = house.handedOver('2026-02-27', '2026-03-03');
  await pieces.next();
  await pieces.return(undefined);
  expect((await bytesOf(house.handedOver())).length).toBeGreaterThan(1000);
  await house.close();
});

import { afterEach, beforeEach, expect, test } from 'vitest';
import { chanceOf } from './chance.ts';
import { temporaryFolder } from './folders.ts';
import { cutPower } from './power-cuts.ts';

const SEED = 20_261_125;
const POINTS = 240;

let folder: string;
let remove: () => void;
beforeEach(() => {
  ({ folder, remove } = temporaryFolder());
});
afterEach(() => remove());

test('what was said to be kept is there after a power cut at any moment, once, and sound', async () => {
  // stores grow with each point: several short ones meet more beginnings
  let whole = 0;
  for (let round = 0; round < 8; round++) {
    whole += await cutPower(folder, POINTS / 8, chanceOf(SEED + round));
    remove();
  }
  console.log(`seed ${SEED}: ${POINTS} cuts, in ${whole} the batch under way was there`);
  expect(whole).toBeGreaterThan(POINTS / 2);
  expect(whole).toBeLessThan(POINTS);
});

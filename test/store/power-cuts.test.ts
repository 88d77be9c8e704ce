import { expect, test } from 'vitest';
import { chanceOf } from './chance.ts';
import { cutPower } from './power-cuts.ts';

const SEED = 20_261_125;
const CUTS = 200;

test('after a power cut at any moment all that was acknowledged is there, once, and worked out alike', async () => {
  // stores grow with each point: several short ones meet more beginnings
  let [cuts, whole] = [0, 0];
  for (let round = 0; cuts < CUTS; round++) {
    const told = await cutPower(chanceOf(SEED + round), CUTS - cuts);
    cuts += told.cuts;
    whole += told.whole;
  }
  console.log(`seed ${SEED}: ${cuts} cuts, in ${whole} what was under way was there`);
  expect(cuts).toBe(CUTS);
  expect(whole).toBeGreaterThan(CUTS / 2);
  expect(whole).toBeLessThan(CUTS);
});

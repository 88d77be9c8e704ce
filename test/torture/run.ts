// What `npm test` tries a few hundred times, tried many thousands of times: power cuts at seeded moments.
// Prints its seed; the same seed does the same again.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { chanceOf } from '../store/chance.ts';
import { cutPower } from '../store/power-cuts.ts';

const usage = `usage: npm run torture [-- [--seed N] [--points N]]
  --seed N:   what chance begins with (a new one each time)
  --points N: how many power cuts (10000)`;

/** Stores grow with each point: many short ones meet more beginnings, and are quicker. */
const POINTS_IN_A_ROUND = 60;

async function main(): Promise<number> {
  const wanted = called();
  if (wanted === null) {
    console.error(usage);
    return 2;
  }
  const { seed, points } = wanted;
  console.info(`seed ${seed}`);
  let [done, whole] = [0, 0];
  for (let round = 0; done < points; round++) {
    const folder = mkdtempSync(join(tmpdir(), 'sunsteep-torture-'));
    try {
      const now = Math.min(POINTS_IN_A_ROUND, points - done);
      whole += await cutPower(folder, now, chanceOf(seed + round));
      done += now;
    } catch (error) {
      console.error(`round ${round} of seed ${seed}:`, error);
      return 1;
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
    if (round % 10 === 9) console.info(`${done} power cuts`);
  }
  console.info(`${done} power cuts, in ${whole} the batch under way was there; nothing was lost`);
  return 0;
}

function called(): { seed: number; points: number } | null {
  try {
    const { values } = parseArgs({
      options: {
        seed: { type: 'string', default: String(Date.now() % 1e9) },
        points: { type: 'string', default: '10000' },
      },
    });
    const [seed, points] = [Number(values.seed), Number(values.points)];
    return Number.isInteger(seed) && Number.isInteger(points) && points > 0
      ? { seed, points }
      : null;
  } catch {
    return null;
  }
}

process.exitCode = await main();

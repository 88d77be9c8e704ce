// What `npm test` tries a few hundred times, tried many thousands of times, and a year of a house.
// Prints its seed; the same seed does the same again.
import { parseArgs } from 'node:util';
import { killings } from './killings.ts';
import { points } from './points.ts';
import { year } from './year.ts';

const usage = `usage: npm run torture [-- [--seed N] [--points N] [--kills N] [--days N]]
  --seed N:   what chance begins with (a new one each time)
  --points N: how many faults of the disk and power cuts (10000)
  --kills N:  how many times the service is killed (500)
  --days N:   how many days of a simulated house (365)
  Where some of the last three are named, those alone are tried.`;

const parts = {
  points: { usual: 10_000, run: points },
  kills: { usual: 500, run: killings },
  days: { usual: 365, run: year },
} as const;

type Part = keyof typeof parts;
const names = Object.keys(parts) as Part[];

async function main(): Promise<number> {
  const wanted = called();
  if (wanted === null) {
    console.error(usage);
    return 2;
  }
  const { seed, counts } = wanted;
  console.info(`seed ${seed}`);
  try {
    for (const [name, count] of counts) await parts[name].run(seed, count);
    return 0;
  } catch (error) {
    console.error(`seed ${seed}:`, error);
    return 1;
  }
}

function called(): { seed: number; counts: [Part, number][] } | null {
  try {
    const text = { type: 'string' } as const;
    const { values } = parseArgs({
      options: { seed: text, points: text, kills: text, days: text },
    });
    const seed = Number(values.seed ?? Date.now() % 1e9);
    const named = names.filter((name) => values[name] !== undefined);
    const counts = (named.length > 0 ? named : names).map((name): [Part, number] => [
      name,
      Number(values[name] ?? parts[name].usual),
    ]);
    const isRight = [seed, ...counts.map(([, count]) => count)].every(Number.isSafeInteger);
    return isRight && counts.every(([, count]) => count > 0) ? { seed, counts } : null;
  } catch {
    return null;
  }
}

process.exitCode = await main();

import { parseArgs } from 'node:util';
import { replayed } from '../../collector-service/replay/run.ts';
import type { Entered } from './entered.ts';
import { allFlaws, type Flaw } from './flaws.ts';
import type { House, Kit, Overrides } from './house.ts';
import {
  type Compared,
  evenings,
  holds,
  type Judged,
  mean,
  middle,
  misses,
  savedOf,
  small,
  sum,
} from './judged.ts';
import { type RecordedHouse, recordedHouse } from './kept-house.ts';

/**
 * How far what was saved in a simulated span, and the evening's band as told at an hour, are from the
 * truth, when simulated houses are replayed:
 *
 *   node --import tsx test/simulator/judge-savings.ts [--kit A] [--seeds 15 | --seeds 3-9] [--days 30]
 *     [--from YYYY-MM-DD] [--entered right|wrong-flow|nothing] [--flaws all|none|offset,lag,…]
 *     [--evening 14:00] [--small] [--keep FOLDER]
 *
 * Saved is held against a twin of the tub that has no loop. --small puts an array into every house that
 * never brings its tub to the limit, below a changeable sky. --keep writes the houses into a folder and
 * takes them from there the next time.
 */

interface Run {
  kit: Kit;
  days: number;
  from: string;
  entered: Entered;
  flaws: readonly Flaw[];
  overrides: Overrides<House>;
}

async function judged({ setup, recorded, truth }: RecordedHouse, evening: string) {
  const tub = (await replayed({ tubs: [setup] }, recorded, evening)).get(setup.id)!;
  return { ...savedOf(tub.days, truth), evenings: evenings(tub.days, truth) };
}

const percent = ({ told, truth }: Compared): string =>
  `${((100 * (told - truth)) / truth).toFixed(1)} %`;
const doubts = ({ told, u, truth }: Compared): string => ((told - truth) / u).toFixed(2);

const eveningCells = (days: readonly Judged[]): string[] => [
  `${Math.round((100 * days.filter(holds).length) / days.length)} %`,
  mean(days.map(({ lowC, highC }) => highC - lowC)).toFixed(2),
  misses(days, middle).toFixed(2),
  misses(days, ({ asYesterdayC }) => asYesterdayC).toFixed(2),
  misses(days, ({ asUsualC }) => asUsualC).toFixed(2),
];

interface Called extends Run {
  seeds: number[];
  evening: string;
  keep: string | null;
}

function called(): Called {
  const { values } = parseArgs({
    options: {
      kit: { type: 'string', default: 'A' },
      seeds: { type: 'string', default: '15' },
      days: { type: 'string', default: '30' },
      from: { type: 'string', default: '2026-04-01' },
      entered: { type: 'string', default: 'right' },
      flaws: { type: 'string', default: 'all' },
      evening: { type: 'string', default: '14:00' },
      small: { type: 'boolean', default: false },
      keep: { type: 'string' },
    },
  });
  const [a, b] = values.seeds.split('-').map(Number);
  const [first, last] = b === undefined ? [1, a!] : [a!, b];
  const { flaws } = values;
  const given = flaws === 'none' ? [] : (flaws.split(',') as Flaw[]);
  return {
    kit: values.kit as Kit,
    days: Number(values.days),
    from: values.from,
    entered: values.entered as Entered,
    flaws: flaws === 'all' ? allFlaws : given,
    overrides: values.small ? small : {},
    seeds: Array.from({ length: last - first + 1 }, (_, i) => first + i),
    evening: values.evening,
    keep: values.keep ?? null,
  };
}

const row = (cells: readonly string[]): void =>
  void process.stdout.write(`| ${cells.join(' | ')} |\n`);

/** Errors over all houses, weighed as they come: a share of the houses, and the middle and mean one. */
function summary(name: string, all: readonly Compared[]): void {
  const errors = all.map(({ told, truth }) => (100 * Math.abs(told - truth)) / Math.abs(truth));
  const sorted = errors.toSorted((a, b) => a - b);
  const within = all.filter(({ told, u, truth }) => Math.abs(told - truth) <= 2 * u).length;
  const pooled = sum(all.map((each) => Math.abs(each.told - each.truth)));
  process.stdout.write(
    `${name}: middle ${sorted[sorted.length >> 1]?.toFixed(1)} %, pooled ` +
      `${((100 * pooled) / sum(all.map(({ truth }) => Math.abs(truth)))).toFixed(1)} %, ` +
      `lean ${((100 * sum(all.map((each) => each.told - each.truth))) / sum(all.map(({ truth }) => truth))).toFixed(1)} %, ` +
      `in 2u ${within} of ${all.length}, 2u ` +
      `${((200 * sum(all.map(({ u }) => u))) / sum(all.map(({ truth }) => Math.abs(truth)))).toFixed(0)} %\n`,
  );
}

async function main(): Promise<void> {
  const { seeds, evening, keep, ...run } = called();
  const told = 'held | width | middle off | as yesterday | as usual';
  row(['seed | useful true | error | in u | saved true | error | in u', told]);
  row(Array.from({ length: 12 }, () => '---'));
  const [useful, saved]: Compared[][] = [[], []];
  const all: Judged[] = [];
  for (const seed of seeds) {
    const house = await judged(await recordedHouse({ seed, ...run }, keep), evening);
    const amounts = [house.useful, house.saved];
    row([
      `${seed}`,
      ...amounts.flatMap((each) => [each.truth.toFixed(1), percent(each), doubts(each)]),
      ...eveningCells(house.evenings),
    ]);
    all.push(...house.evenings);
    if (house.useful.truth === 0) continue; // no backup, nothing to save
    useful!.push(house.useful);
    saved!.push(house.saved);
  }
  summary('useful', useful!);
  summary('saved', saved!);
  row(['evenings', `${all.length}`, ...eveningCells(all)]);
}

await main();

import { parseArgs } from 'node:util';
import { Recorded } from '../../collector-service/replay/recorded.ts';
import { replayed } from '../../collector-service/replay/run.ts';
import type { TubSetup } from '../../model/setup.ts';
import type { Kit } from './house.ts';
import { type RecordedHouse, recordedHouse } from './kept-house.ts';

/**
 * How far a fortnight's net heat, the flow entered wrongly or not at all, and a month's loss coefficient
 * are from the truth, when simulated houses are replayed:
 *
 *   node --import tsx test/simulator/judge-estimates.ts [--kit A] [--seeds 20 | --seeds 3-9]
 *     [--from 2026-04-01,2026-10-05] [--flow 0.6,1,1.6,none] [--keep FOLDER]
 *
 * --flow gives what was entered as a multiple of the true flow. --keep writes the houses into a folder
 * and takes them from there the next time.
 */

const MONTH_DAYS = 30;
const FORTNIGHT_DAYS = 14;

/** A quantity as told, with its standard uncertainty, beside the truth. */
interface Compared {
  told: number;
  u: number;
  truth: number;
}

/** What the owner entered as the flow: the true one times a number, or nothing. */
type EnteredFlow = number | 'none';

function entered(setup: TubSetup, flow: EnteredFlow): TubSetup {
  const { flowLPerMin = 0, ...loop } = setup.loop ?? {};
  if (flow === 'none') return { ...setup, loop };
  return { ...setup, loop: { ...loop, flowLPerMin: Math.round(10 * flow * flowLPerMin) / 10 } };
}

/** The readings before an instant, as if no more had come yet. */
function until(recorded: Recorded, { id }: TubSetup, end: number): Recorded {
  const part = new Recorded();
  for (const [point, { t, v }] of recorded.traces(id)) {
    for (let i = 0; i < t.length && t[i]! < end; i++) {
      part.add({ tub: id, point, t: t[i]!, value: v[i]! });
    }
  }
  return part;
}

const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

/** Net heat of the days that are told, beside what these days truly brought [kWh]. */
async function fortnight({ setup, recorded, truth }: RecordedHouse): Promise<Compared> {
  const { days } = (await replayed({ tubs: [setup] }, recorded)).get(setup.id)!;
  const known = days.filter(({ gainKwh }) => gainKwh !== null);
  const dates = new Set(known.map(({ date }) => date));
  return {
    told: sum(known.map(({ gainKwh, lostKwh }) => gainKwh! - (lostKwh ?? 0))),
    u: sum(known.map(({ uncertaintyKwh }) => uncertaintyKwh ?? 0)),
    truth: sum(
      truth.days
        .filter(({ date }) => dates.has(date))
        .map(({ gainKwh, lostKwh }) => gainKwh - lostKwh),
    ),
  };
}

/** The loss coefficient as it stands at the end [W/K]; null where it was not learned. */
async function loss({ setup, recorded, truth }: RecordedHouse): Promise<Compared | null> {
  const { learned } = (await replayed({ tubs: [setup] }, recorded)).get(setup.id)!;
  const told = learned?.lossWPerK;
  if (told?.basis !== 'learned') return null;
  return { told: told.value, u: told.uncertainty, truth: truth.total.uaWPerK! };
}

const percent = ({ told, truth }: Compared): number => (100 * (told - truth)) / truth;
const doubt = ({ u, told }: Compared): number => (200 * u) / Math.abs(told);
const inUs = ({ told, truth, u }: Compared): number => (told - truth) / u;
const rms = (values: readonly number[]): number =>
  Math.sqrt(sum(values.map((value) => value * value)) / values.length);

const row = (cells: readonly string[]): void =>
  void process.stdout.write(`| ${cells.join(' | ')} |\n`);
const cells = (of: Compared | null): string[] =>
  of === null
    ? ['–', '–', '–']
    : [percent(of).toFixed(1), inUs(of).toFixed(2), doubt(of).toFixed(0)];

function summary(name: string, all: readonly Compared[], mostPercent: number): void {
  if (all.length === 0) return;
  const errors = all.map(percent);
  const worst = Math.max(...errors.map(Math.abs));
  const far = errors.filter((error) => Math.abs(error) > mostPercent).length;
  const held = all.filter((each) => Math.abs(inUs(each)) <= 2).length;
  const wide = all.map(doubt);
  process.stdout.write(
    `${name}: ${all.length} houses, mean ${(sum(errors) / errors.length).toFixed(1)} %, ` +
      `rms ${rms(errors).toFixed(1)} %, worst ${worst.toFixed(1)} %, ` +
      `${far} beyond ${mostPercent} %; ${held} within 2u, rms of error/u ` +
      `${rms(all.map(inUs)).toFixed(2)}; 2u ${(sum(wide) / wide.length).toFixed(0)} %, at most ` +
      `${Math.max(...wide).toFixed(0)} %\n`,
  );
}

function called() {
  const { values } = parseArgs({
    options: {
      kit: { type: 'string', default: 'A' },
      seeds: { type: 'string', default: '20' },
      from: { type: 'string', default: '2026-04-01,2026-10-05' },
      flow: { type: 'string', default: '0.6,1,1.6,none' },
      keep: { type: 'string' },
    },
  });
  const [a, b] = values.seeds.split('-').map(Number);
  const [first, last] = b === undefined ? [1, a!] : [a!, b];
  return {
    kit: values.kit as Kit,
    seeds: Array.from({ length: last - first + 1 }, (_, i) => first + i),
    starts: values.from.split(','),
    flows: values.flow
      .split(',')
      .map((flow): EnteredFlow => (flow === 'none' ? 'none' : Number(flow))),
    keep: values.keep ?? null,
  };
}

async function main(): Promise<void> {
  const { kit, seeds, starts, flows, keep } = called();
  row([
    'start | seed | heat kWh',
    ...flows.map((flow) => `flow ${flow}: error % | in u | 2u %`),
    'loss W/K | error % | in u | 2u %',
  ]);
  row(Array.from({ length: 7 + 3 * flows.length }, () => '---'));
  const heat = new Map(flows.map((flow) => [flow, [] as Compared[]]));
  const losses: Compared[] = [];
  for (const from of starts) {
    for (const seed of seeds) {
      const house = await recordedHouse({ seed, kit, from, days: MONTH_DAYS }, keep);
      const end = house.truth.from + FORTNIGHT_DAYS * 86_400_000;
      const recorded = until(house.recorded, house.setup, end);
      const told: Compared[] = [];
      for (const flow of flows) {
        told.push(await fortnight({ ...house, setup: entered(house.setup, flow), recorded }));
        heat.get(flow)!.push(told.at(-1)!);
      }
      const lost = await loss(house);
      if (lost) losses.push(lost);
      row([
        from,
        `${seed}`,
        (told[0]?.truth ?? 0).toFixed(0),
        ...told.flatMap(cells),
        house.truth.total.uaWPerK!.toFixed(2),
        ...cells(lost),
      ]);
    }
  }
  for (const [flow, all] of heat) summary(`heat, flow ${flow}`, all, 8);
  summary('loss', losses, kit === 'C' ? 10 : 12);
}

await main();

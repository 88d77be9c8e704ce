import { parseArgs } from 'node:util';
import { Recorded } from '../../collector-service/replay/recorded.ts';
import { replayed } from '../../collector-service/replay/run.ts';
import type { Alert } from '../../model/shapes.ts';
import { faults } from './faults/faults.ts';
import type { Kit } from './house.ts';
import { type SimulateOptions, Simulation } from './simulation.ts';

/**
 * Which alerts are told when simulated houses with scripted faults are replayed, and what healthy ones
 * bring:
 *
 *   node --import tsx test/simulator/judge-faults.ts [--faults all|none|pump-dead,…] [--kit C]
 *     [--seeds 3] [--from YYYY-MM-DD] [--days 12] [--start 4] [--end 9] [--verbose]
 *
 * A fault stands from day `start` to day `end`. A row tells the first alert that names it, how long
 * after its start that came, whether it ended, and every other alert above a note.
 */

const DAY = 86_400_000; // ms

export interface Judged {
  alerts: Alert[];
  from: number;
}

/** Replays a simulated house. */
export async function judge(options: SimulateOptions): Promise<Judged> {
  const simulation = new Simulation(options);
  const recorded = new Recorded();
  for (const batch of simulation.batches()) {
    for (const reading of batch) if (Number.isFinite(reading.value)) recorded.add(reading);
  }
  const { setup } = simulation;
  const tubs = await replayed({ tubs: [setup] }, recorded);
  return { alerts: tubs.get(setup.id)!.alerts, from: simulation.truth.from };
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: {
      faults: { type: 'string', default: 'all' },
      kit: { type: 'string', default: 'C' },
      seeds: { type: 'string', default: '3' },
      seed: { type: 'string' },
      from: { type: 'string', default: '2026-06-01' },
      days: { type: 'string', default: '12' },
      start: { type: 'string', default: '4' },
      end: { type: 'string', default: '9' },
      verbose: { type: 'boolean' },
    },
  });
  const names = values.faults === 'all' ? [...faults.keys()] : values.faults.split(',');
  const [start, end] = [Number(values.start), Number(values.end)];
  const first = Number(values.seed ?? 1);
  for (const name of names) {
    for (let seed = first; seed < first + (values.seed ? 1 : Number(values.seeds)); seed++) {
      const scripted = name === 'none' ? [] : [{ fault: name, fromDay: start, toDay: end }];
      const kit = values.kit as Kit;
      const { alerts, from } = await judge({
        seed,
        kit,
        from: values.from,
        days: Number(values.days),
        faults: scripted,
      });
      const raises = faults.get(name)?.raises ?? [];
      const began = from + start * DAY;
      process.stdout.write(`${rowOf(name, seed, kit, alerts, raises, began)}\n`);
      if (values.verbose)
        for (const alert of alerts) process.stdout.write(`    ${lineOf(alert)}\n`);
    }
  }
}

function rowOf(
  name: string,
  seed: number,
  kit: Kit,
  alerts: readonly Alert[],
  raises: readonly string[],
  began: number,
): string {
  const named = alerts.filter(({ fault }) => raises.includes(fault));
  const found = named.find(({ raisedAt }) => Date.parse(raisedAt) >= began);
  const others = alerts.filter((alert) => !named.includes(alert) && alert.severity !== 'note');
  const told = found
    ? `${found.fault} after ${((Date.parse(found.raisedAt) - began) / 3_600_000).toFixed(1)} h, ` +
      (found.until
        ? `over after ${((Date.parse(found.until) - began) / DAY).toFixed(1)} d`
        : 'stands')
    : raises.length > 0
      ? 'NOT FOUND'
      : '';
  const beside = others.map(({ fault, point }) => (point ? `${fault}:${point}` : fault));
  return `${name} ${seed}${kit}: ${told}${beside.length > 0 ? ` | beside: ${beside.join(', ')}` : ''}`;
}

const lineOf = (alert: Alert): string =>
  [
    alert.severity,
    alert.fault,
    alert.point ?? '',
    `${alert.since} raised ${alert.raisedAt} until ${alert.until ?? '-'}`,
    JSON.stringify(alert.evidence),
  ].join(' ');

if (import.meta.filename === process.argv[1]) await main();

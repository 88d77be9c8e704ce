import { once } from 'node:events';
import { createWriteStream } from 'node:fs';
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { finished } from 'node:stream/promises';
import { parseArgs } from 'node:util';
import { allFlaws, type Flaw } from './flaws.ts';
import type { Kit } from './house.ts';
import { type SimulateOptions, Simulation } from './simulation.ts';

const usage =
  'node --import tsx test/simulator/write-csv.ts --seed N --kit A|B|C --days N [--from YYYY-MM-DD] ' +
  '[--entered right|wrong-flow|nothing] [--flaws all|none|offset,lag,…] [--fault NAME:FROM:TO …] OUT';

/** Writes READINGS.csv, SETUP.json and TRUTH.json of a simulation into a folder. */
export async function writeSimulation(
  options: SimulateOptions,
  folder: string,
): Promise<Simulation> {
  await mkdir(folder, { recursive: true });
  const simulation = new Simulation(options);
  const rows = createWriteStream(join(folder, 'READINGS.csv'));
  rows.write('time,tub,point,value\n');
  for (const batch of simulation.batches()) {
    const text = batch
      .map((r) => `${new Date(r.t).toISOString()},${r.tub},${r.point},${r.value}\n`)
      .join('');
    if (!rows.write(text)) await once(rows, 'drain');
  }
  rows.end();
  await finished(rows);
  const { setup, truth, house } = simulation;
  await writeFile(join(folder, 'SETUP.json'), JSON.stringify({ tubs: [setup] }, null, 2));
  await writeFile(join(folder, 'TRUTH.json'), JSON.stringify({ ...truth, house }, null, 1));
  return simulation;
}

function fromCall(args: string[]): { options: SimulateOptions; folder: string } {
  const { values, positionals } = parseArgs({
    args,
    allowPositionals: true,
    options: {
      seed: { type: 'string' },
      kit: { type: 'string', default: 'C' },
      days: { type: 'string', default: '30' },
      from: { type: 'string', default: '2026-04-01' },
      entered: { type: 'string', default: 'right' },
      flaws: { type: 'string', default: 'all' },
      fault: { type: 'string', multiple: true, default: [] },
    },
  });
  if (values.seed === undefined || positionals.length !== 1) throw new Error(`usage: ${usage}`);
  const { flaws } = values;
  return {
    folder: positionals[0]!,
    options: {
      seed: Number(values.seed),
      kit: values.kit as Kit,
      days: Number(values.days),
      from: values.from,
      entered: values.entered as NonNullable<SimulateOptions['entered']>,
      flaws: flaws === 'all' ? allFlaws : flaws === 'none' ? [] : (flaws.split(',') as Flaw[]),
      faults: values.fault.map(scripted),
    },
  };
}

/** `NAME:FROM:TO`, from and to in days after the start; the name may hold a colon of its own. */
function scripted(text: string) {
  const parts = text.split(':');
  const toDay = Number(parts.pop());
  const fromDay = Number(parts.pop());
  return { fault: parts.join(':'), fromDay, toDay };
}

if (process.argv[1] === import.meta.filename) {
  const { options, folder } = fromCall(process.argv.slice(2));
  await writeSimulation(options, folder);
}

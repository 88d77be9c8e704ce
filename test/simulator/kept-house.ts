import { existsSync } from 'node:fs';
import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { deserialize, serialize } from 'node:v8';
import { Recorded } from '../../collector-service/replay/recorded.ts';
import type { TubSetup } from '../../model/setup.ts';
import { type SimulateOptions, Simulation } from './simulation.ts';
import type { Truth } from './truth.ts';

/** A simulated house as it was recorded: its set-up, its readings and what truly was. */
export interface RecordedHouse {
  setup: TubSetup;
  recorded: Recorded;
  truth: Truth;
}

interface Kept {
  setup: TubSetup;
  truth: Truth;
  columns: Map<string, { t: Float64Array; v: Float64Array }>;
}

/**
 * Simulates a house and records what its boards sent; with a folder it is kept there, and taken from
 * there the next time, so that one can change the program and judge it again within seconds.
 */
export async function recordedHouse(
  options: SimulateOptions,
  folder: string | null,
): Promise<RecordedHouse> {
  const file = folder && join(folder, `${nameOf(options)}.bin`);
  if (file && existsSync(file)) return again(deserialize(await readFile(file)));
  const house = recordedNow(options);
  if (file) {
    await mkdir(folder, { recursive: true });
    const { setup, truth, recorded } = house;
    await writeFile(file, serialize({ setup, truth, columns: recorded.traces(setup.id) }));
  }
  return house;
}

function recordedNow(options: SimulateOptions): RecordedHouse {
  const simulation = new Simulation(options);
  const recorded = new Recorded();
  for (const batch of simulation.batches()) {
    // A number that is none never comes through the decoder.
    for (const reading of batch) if (Number.isFinite(reading.value)) recorded.add(reading);
  }
  const { setup, truth } = simulation;
  return { setup, recorded, truth };
}

function again({ setup, truth, columns }: Kept): RecordedHouse {
  const recorded = new Recorded();
  for (const [point, { t, v }] of columns) {
    for (let i = 0; i < t.length; i++) {
      recorded.add({ tub: setup.id, point, t: t[i]!, value: v[i]! });
    }
  }
  return { setup, recorded, truth };
}

/** What tells one simulation from another, as the name of a file. */
function nameOf({ seed, kit, from, days, entered, overrides, flaws }: SimulateOptions): string {
  const rest = JSON.stringify([entered ?? 'right', overrides ?? {}, flaws ?? 'all']);
  return `${kit}-${seed}-${from}-${days}-${rest.replaceAll(/[^a-zA-Z0-9.]+/g, '_').slice(0, 150)}`;
}

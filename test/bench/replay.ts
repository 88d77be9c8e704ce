import { once } from 'node:events';
import {
  createReadStream,
  createWriteStream,
  mkdtempSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { finished } from 'node:stream/promises';
import { parse } from 'csv-parse';
import { startProgram } from '../service/live/program.ts';
import { points, readings, setup, steps, tub } from './month-of-readings.ts';
import { digits, line, Rounds, spread, times, whole } from './rounds.ts';

const ROUNDS = 3;
const BARE = 'bare csv-parse';
const REPLAY = 'replay';

/** `replay` of a month of readings as CSV, against reading the same file with csv-parse alone. */
export async function replay(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-replay-'));
  try {
    const [file, setupFile] = [join(folder, 'month.csv'), join(folder, 'setup.json')];
    writeFileSync(setupFile, JSON.stringify(setup));
    await writeMonth(file);
    const rows = steps * points.length;
    const rounds = new Rounds();
    for (let round = 0; round < ROUNDS; round++) {
      rounds.add(BARE, await timed(() => bareParse(file, rows)));
      rounds.add(REPLAY, await timed(() => replayed(file, setupFile, rows)));
    }
    line('the file', `${whole(rows)} rows, ${digits(statSync(file).size / 1e6)} MB`);
    for (const name of [BARE, REPLAY]) line(name, `${spread(rounds.of(name), digits)} s`);
    line('', `${spread(rounds.ratio(REPLAY, BARE), times)} csv-parse; aim at most 4 ×`);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function writeMonth(file: string): Promise<void> {
  const out = createWriteStream(file);
  out.write('time,tub,point,value\n');
  const loop = readings();
  for (let step = 0; step < steps; step++) {
    const { t, values } = loop.next().value;
    const time = new Date(t).toISOString();
    const rows = values.map((value, i) => `${time},${tub},${points[i]},${value}\n`);
    if (!out.write(rows.join(''))) await once(out, 'drain');
  }
  out.end();
  await finished(out);
}

/** The streaming parser with its default options, each record taken and dropped. */
async function bareParse(file: string, rows: number): Promise<void> {
  const parser = parse();
  let records = 0;
  parser.on('readable', () => {
    while (parser.read() !== null) records++;
  });
  createReadStream(file).pipe(parser);
  await finished(parser);
  if (records !== rows + 1) throw new Error(`csv-parse found ${records} records`);
}

/** The built program, its start included. */
async function replayed(file: string, setupFile: string, rows: number): Promise<void> {
  const started = startProgram(['replay', '--setup', setupFile, '--json', file]);
  const code = await started.ended;
  const counted = code === 0 ? JSON.parse(started.out()).rows : null;
  if (counted?.read !== rows) throw new Error(`replay ended with ${code}: ${started.err()}`);
}

async function timed(work: () => Promise<void>): Promise<number> {
  const start = performance.now();
  await work();
  return (performance.now() - start) / 1000;
}

import { execFile } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs, promisify } from 'node:util';
import { allFlaws, type Flaw } from './flaws.ts';
import type { Kit } from './house.ts';
import type { TrueDay } from './truth.ts';
import { writeSimulation } from './write-csv.ts';

/**
 * How far the metered heat of a day, gain less lost, is from the truth when simulated months are
 * replayed by the built program:
 *
 *   node --import tsx test/simulator/judge-heat.ts [--kit B] [--seeds 20] [--days 30]
 *     [--from YYYY-MM-DD] [--flaws all|none|offset,lag,…] [--program dist/collector-service/main.js]
 */

const run = promisify(execFile);

/** Of a Day of the program what is judged here. */
interface ToldDay {
  date: string;
  gainKwh: number | null;
  lostKwh: number | null;
  uncertaintyKwh: number | null;
  coverage: number;
}

/** A day's error beside what the day truly was and how doubtful the program called it [kWh]. */
interface Judged {
  date: string;
  trueKwh: number;
  errorKwh: number;
  uncertaintyKwh: number;
  coverage: number;
}

interface Run {
  kit: Kit;
  days: number;
  from: string;
  flaws: readonly Flaw[];
  program: string;
}

async function judged(seed: number, { program, ...options }: Run): Promise<Judged[]> {
  const folder = await mkdtemp(join(tmpdir(), 'judge-heat-'));
  try {
    const { truth, setup } = await writeSimulation({ seed, ...options }, folder);
    const files = ['--setup', join(folder, 'SETUP.json'), '--json', join(folder, 'READINGS.csv')];
    const { stdout } = await run(process.execPath, [program, 'replay', ...files], {
      maxBuffer: 1 << 28,
    });
    const told: ToldDay[] = JSON.parse(stdout).tubs[setup.id].days;
    return truth.days.flatMap((day) => compared(day, told));
  } finally {
    await rm(folder, { recursive: true });
  }
}

const unknown = { gainKwh: null, lostKwh: null, uncertaintyKwh: null, coverage: 0 };

function compared(day: TrueDay, told: readonly ToldDay[]): Judged[] {
  const found = told.find(({ date }) => date === day.date);
  const { gainKwh, lostKwh, uncertaintyKwh, coverage } = found ?? unknown;
  if (gainKwh === null || lostKwh === null || uncertaintyKwh === null) return [];
  const trueKwh = day.gainKwh - day.lostKwh;
  const errorKwh = gainKwh - lostKwh - trueKwh;
  return [{ date: day.date, trueKwh, errorKwh, uncertaintyKwh, coverage }];
}

const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);
const middle = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN;

function row(seed: number, days: readonly Judged[]): string {
  const errors = days.map(({ errorKwh }) => Math.abs(errorKwh));
  const worst = days[errors.indexOf(Math.max(...errors))];
  const trueKwh = sum(days.map((day) => day.trueKwh));
  const errorKwh = sum(days.map((day) => day.errorKwh));
  const doubt = sum(days.map((day) => day.uncertaintyKwh));
  const cells = [
    `${seed}`,
    `${days.length}`,
    (trueKwh / days.length).toFixed(2),
    middle(errors).toFixed(3),
    `${worst?.errorKwh.toFixed(3)} on ${worst?.date}`,
    `${((100 * errorKwh) / trueKwh).toFixed(2)} %`,
    (errorKwh / doubt).toFixed(2),
    (sum(days.map(({ coverage }) => coverage)) / days.length).toFixed(3),
  ];
  return `| ${cells.join(' | ')} |\n`;
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: {
      kit: { type: 'string', default: 'B' },
      seeds: { type: 'string', default: '20' },
      days: { type: 'string', default: '30' },
      from: { type: 'string', default: '2026-04-01' },
      flaws: { type: 'string', default: 'all' },
      program: { type: 'string', default: 'dist/collector-service/main.js' },
    },
  });
  const { flaws } = values;
  const given = flaws === 'none' ? [] : (flaws.split(',') as Flaw[]);
  const options = {
    kit: values.kit as Kit,
    days: Number(values.days),
    from: values.from,
    flaws: flaws === 'all' ? allFlaws : given,
    program: values.program,
  };
  process.stdout.write(
    `kit ${options.kit}, flaws ${flaws}; errors of a day's net heat [kWh]\n` +
      '| seed | days | true a day | median error | worst day | whole error | in u | coverage |\n' +
      '|---|---|---|---|---|---|---|---|\n',
  );
  for (let seed = 1; seed <= Number(values.seeds); seed++) {
    process.stdout.write(row(seed, await judged(seed, options)));
  }
}

await main();

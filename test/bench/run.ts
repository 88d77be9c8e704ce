// How fast the built program is, beside bare baselines of the same run. Nothing is asserted: the
// figures hang on the machine, and their quotients much less.
import { cpus, release, totalmem, type } from 'node:os';
import { parseArgs } from 'node:util';
import Database from 'better-sqlite3';
import { endAll } from '../service/live/program.ts';
import { evening } from './evening.ts';
import { intake } from './intake.ts';
import { memory } from './memory.ts';
import { month } from './month.ts';
import { page } from './page.ts';
import { replay } from './replay.ts';
import { rules } from './rules.ts';
import { traces } from './traces.ts';

const usage = `usage: npm run bench [-- [--minutes N] SECTION…]
  SECTION: intake, replay, month, rules, evening, traces, page, memory; all of them where none is named
  --minutes N: how long the service rests in the section memory (2)`;

const sections: Record<string, { title: string; run(minutes: number): Promise<void> }> = {
  intake: {
    title: 'Readings from QoS 1 publishers to the disk, the whole service running',
    run: intake,
  },
  replay: { title: 'Replay of a month, 12 points, every 10 s', run: replay },
  month: { title: 'A month of one tub, 12 points, every 10 s, worked out again', run: month },
  rules: { title: 'All rules of one tub, a full kit, every 10 s', run: rules },
  evening: { title: 'The evening of a tub with a month of readings', run: evening },
  traces: { title: 'Lines of a year, 12 points, in at most 400 spans', run: traces },
  page: { title: 'The page on a slow phone and a slow network', run: page },
  memory: { title: 'Memory of the demonstration', run: memory },
};

async function main(): Promise<number> {
  const chosen = called();
  if (chosen === null) {
    console.error(usage);
    return 2;
  }
  console.info(`${new Date().toISOString()}; ${machine()}`);
  console.info('Medians of the rounds, and their range; quotients are taken within a round.');
  for (const name of chosen.names) {
    console.info(`\n${sections[name]!.title}`);
    await sections[name]!.run(chosen.minutes);
  }
  return 0;
}

function called(): { names: string[]; minutes: number } | null {
  try {
    const { values, positionals } = parseArgs({
      options: { minutes: { type: 'string', default: '2' } },
      allowPositionals: true,
    });
    const minutes = Number(values.minutes);
    const known = positionals.every((name) => Object.hasOwn(sections, name));
    if (!known || !(minutes > 0)) return null;
    return { names: positionals.length > 0 ? positionals : Object.keys(sections), minutes };
  } catch {
    return null;
  }
}

function machine(): string {
  const [cpu] = cpus();
  const sqlite = new Database(':memory:').prepare('SELECT sqlite_version()').pluck().get();
  return [
    `${type()} ${release()}`,
    `${cpus().length} × ${cpu?.model.trim()}`,
    `${Math.round(totalmem() / 1e9)} GB`,
    `Node ${process.version}`,
    `SQLite ${sqlite}`,
  ].join(', ');
}

process.exitCode = await main().finally(endAll);

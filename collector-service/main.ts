#!/usr/bin/env node
import { realpathSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { backup } from './command/backup.ts';
import type { Command, Io } from './command/command.ts';
import { exportCommand } from './command/export.ts';
import { handoverCommand } from './command/handover.ts';
import { importCommand } from './command/import.ts';
import { pair } from './command/pair.ts';
import { recompute } from './command/recompute.ts';
import { replay } from './command/replay.ts';
import { restore } from './command/restore.ts';
import { serve } from './command/serve.ts';
import { errorCodes, SunsteepError } from './errors.ts';

const commands: readonly Command[] = [
  serve,
  replay,
  importCommand,
  exportCommand,
  handoverCommand,
  backup,
  restore,
  recompute,
  pair,
];

/** Runs one command; returns its exit code: 0 done, 1 the work failed, 2 the call was wrong. */
async function main([name, ...args]: string[], io: Io): Promise<number> {
  if (name === undefined || name === 'help' || name === '--help' || name === '-h') {
    io.out(help());
    return name === undefined ? 2 : 0;
  }
  try {
    const command = commands.find((known) => known.name === name);
    if (!command) {
      const names = commands.map((known) => known.name).join(', ');
      throw new SunsteepError(
        'SUNSTEEP_CALL_INVALID',
        `no command ${JSON.stringify(name)}; there are: ${names}`,
      );
    }
    await command.run(args, io);
    return 0;
  } catch (error) {
    io.progress('');
    const message = error instanceof Error ? error.message : String(error);
    // also what a file says of itself: on one line, and nothing that steers the terminal
    const line = message.replaceAll(steering, ' ').replaceAll(/ {2,}/g, ' ');
    io.note(`sunsteep: ${line}`);
    return error instanceof SunsteepError ? errorCodes[error.code].exit : 1;
  }
}

const steering = /[\p{Cc}\u2028\u2029\u202a-\u202e\u2066-\u2069]/gu;

function help(): string {
  const lines = commands.map(
    ({ name, usage, summary }) => `  ${`${name} ${usage}`.trim()}\n      ${summary}`,
  );
  return `Sunsteep watches a small solar loop that heats a hot tub.\n\n${lines.join('\n')}\n`;
}

const processIo: Io = {
  env: process.env,
  out: (text) => void process.stdout.write(text),
  note: (line) => void process.stderr.write(`${line}\n`),
  progress(line) {
    if (process.stderr.isTTY) process.stderr.write(`\r\x1b[K${line}`);
  },
};

/** Whoever reads may have seen enough; the service goes on without being read. */
function outputFailed({ code, message }: NodeJS.ErrnoException): void {
  if (code === 'EPIPE' && process.argv[2] === 'serve') return;
  if (code !== 'EPIPE') processIo.note(`sunsteep: standard output cannot be written: ${message}`);
  process.exit(code === 'EPIPE' ? 0 : 1);
}

if (process.argv[1] && realpathSync(process.argv[1]) === fileURLToPath(import.meta.url)) {
  process.stdout.on('error', outputFailed);
  process.exitCode = await main(process.argv.slice(2), processIo);
  // All that matters is closed; the timer of a phone between two polls would hold on for 30 s more.
  if (process.argv[2] === 'serve') process.exit();
}

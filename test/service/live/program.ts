import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { cpSync, mkdtempSync, rmSync, utimesSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';

/** The built program as somebody starts it: a process of its own, an environment, a data folder. */

export const root = fileURLToPath(new URL('../../..', import.meta.url));
const program = join(root, 'dist/collector-service/main.js');

let built = false;

/** Brings `dist` up to what the sources say; does nothing where it is. */
function build(): void {
  if (built) return;
  const { status, stderr } = spawnSync(process.execPath, [join(root, 'tools/ready.mjs')]);
  if (status !== 0) throw new Error(`the program cannot be built: ${stderr}`);
  built = true;
}

export type Env = Record<string, string>;

/** The environment of the tests without any setting of ours that happens to stand in it. */
export function environment(env: Env): Env {
  const bare = Object.entries(process.env).filter(
    (entry): entry is [string, string] =>
      entry[1] !== undefined && !entry[0].startsWith('SUNSTEEP_'),
  );
  return { ...Object.fromEntries(bare), ...env };
}

/** A running process, what it has said so far, and its end. */
export interface Started {
  process: ChildProcess;
  out(): string;
  err(): string;
  /** The exit code once it has ended and said everything; null where a signal ended it. */
  ended: Promise<number | null>;
  /** Resolves with what `find` finds in standard output; fails where the process ends before. */
  says(find: RegExp): Promise<RegExpExecArray>;
}

const running = new Set<Started>();
const folders: string[] = [];

export function start(command: string, args: string[], env: Env = {}, cwd = root): Started {
  const child = spawn(command, args, {
    env: environment(env),
    cwd,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let out = '';
  let err = '';
  child.stdout.setEncoding('utf8').on('data', (text: string) => {
    out += text;
  });
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    err += text;
  });
  const ended = once(child, 'close').then(([code]) => {
    running.delete(started);
    return code as number | null;
  });
  const says = (find: RegExp) =>
    new Promise<RegExpExecArray>((resolve, reject) => {
      const look = () => {
        const found = find.exec(out);
        if (found) resolve(found);
      };
      child.stdout.on('data', look);
      look();
      void ended.then((code) =>
        reject(new Error(`it ended with ${code} before it said ${find}:\n${out}\n${err}`)),
      );
    });
  const started: Started = { process: child, out: () => out, err: () => err, ended, says };
  running.add(started);
  return started;
}

/** A copy of the built program that says it was built at another time; its `main.js`. */
export function builtAt(time: Date): string {
  build();
  const copy = join(root, `dist.${process.pid}.clock.tmp`); // beside the packages that it needs
  cpSync(join(root, 'dist'), copy, { recursive: true });
  folders.push(copy);
  utimesSync(join(copy, 'collector-service/service.js'), time, time);
  return join(copy, 'collector-service/main.js');
}

/** Starts the built program with a command of its own. */
export function startProgram(args: string[], env: Env = {}, cwd = root, main = program): Started {
  build();
  return start(process.execPath, [main, ...args], env, cwd);
}

/** Runs a command of the program to its end. */
export async function run(args: string[], env: Env = {}, cwd = root) {
  const started = startProgram(args, env, cwd);
  const code = await started.ended;
  return { code, out: started.out(), err: started.err() };
}

export function newFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-live-'));
  folders.push(folder);
  return folder;
}

/** Ends every process that these tests started, each by its own handle, and removes their folders. */
export async function endAll(): Promise<void> {
  const all = [...running];
  for (const { process: child } of all) child.kill('SIGKILL');
  await Promise.all(all.map(({ ended }) => ended));
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
}

/** How long something that has to come may take on a busy machine [ms]. */
const PATIENCE = 30_000;

/** Asks again and again until the answer is there; null, undefined and false are none. */
export async function until<T>(
  what: string,
  ask: () => Promise<T> | T,
  patience = PATIENCE,
): Promise<NonNullable<Exclude<T, false>>> {
  for (const end = Date.now() + patience; ; ) {
    const answer = await ask();
    if (answer !== null && answer !== undefined && answer !== false) {
      return answer as NonNullable<Exclude<T, false>>;
    }
    if (Date.now() > end) throw new Error(`${what} did not come within ${patience} ms`);
    await pause(25);
  }
}

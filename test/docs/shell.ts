import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { type Env, environment, root } from '../service/live/program.ts';

/** A line as somebody types it at a shell, with all that it starts. */
export interface Typed {
  out(): string;
  err(): string;
  /** The exit code once everything that it started has ended; null where a signal ended it. */
  ended: Promise<number | null>;
  /** Resolves with what `find` finds in what it says; fails where it ends before. */
  says(find: RegExp): Promise<RegExpExecArray>;
  /** As Ctrl+C does: asks the line and all that it started to stop. */
  interrupt(): void;
}

const running = new Map<ChildProcess, Typed>();

export function typed(line: string, env: Env = {}, cwd = root): Typed {
  // A group of its own, so that what npm started ends with it and nothing else does.
  const child = spawn('sh', ['-c', line], {
    env: environment(env),
    cwd,
    detached: true,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let [out, err] = ['', ''];
  const hear = new Set<() => void>();
  child.stdout.setEncoding('utf8').on('data', (text: string) => {
    out += text;
    for (const look of hear) look();
  });
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    err += text;
    for (const look of hear) look();
  });
  const ended = once(child, 'close').then(([code]) => {
    running.delete(child);
    return code as number | null;
  });
  const typing: Typed = {
    out: () => out,
    err: () => err,
    ended,
    says: (find) =>
      new Promise((resolve, reject) => {
        const look = () => {
          const found = find.exec(out) ?? find.exec(err);
          if (found === null) return;
          hear.delete(look);
          resolve(found);
        };
        hear.add(look);
        look();
        void ended.then((code) =>
          reject(new Error(`${line}: ended with ${code} before it said ${find}\n${out}\n${err}`)),
        );
      }),
    interrupt: () => void process.kill(-child.pid!, 'SIGINT'),
  };
  running.set(child, typing);
  return typing;
}

/** Runs a line to its end; fails where its exit code is not the one that should be. */
export async function done(line: string, env: Env = {}, cwd = root, should = 0): Promise<Typed> {
  const run = typed(line, env, cwd);
  const code = await run.ended;
  if (code !== should) throw new Error(`${line}: ended with ${code}\n${run.out()}\n${run.err()}`);
  return run;
}

/** Ends whatever still runs, each group by the id of the process that began it. */
export async function endTyped(): Promise<void> {
  const left = [...running];
  for (const [child] of left) process.kill(-child.pid!, 'SIGKILL');
  await Promise.all(left.map(([, { ended }]) => ended));
}

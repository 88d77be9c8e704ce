import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';

/** A process of its own that runs one of the scripts beside this file; to be ended by whoever began it. */
export class Process {
  readonly lines: string[] = [];
  private readonly child: ChildProcess;
  private readonly ended: Promise<{ code: number | null; signal: string | null }>;
  private errors = '';
  private heard: (() => void)[] = [];

  constructor(script: string, args: (string | number)[]) {
    const path = fileURLToPath(new URL(script, import.meta.url));
    this.child = spawn(process.execPath, ['--import', 'tsx', path, ...args.map(String)], {
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    this.child.stderr!.on('data', (data) => {
      this.errors += data;
    });
    createInterface(this.child.stdout!).on('line', (line) => {
      this.lines.push(line);
      this.tell();
    });
    this.ended = once(this.child, 'close').then(([code, signal]) => {
      this.tell();
      return { code, signal };
    });
  }

  private tell(): void {
    for (const resolve of this.heard.splice(0)) resolve();
  }

  /** Resolves once so many lines were printed; rejects where the process ended before. */
  async printed(count: number): Promise<void> {
    const { child } = this;
    while (this.lines.length < count) {
      if (child.exitCode !== null || child.signalCode !== null) {
        throw new Error(`ended after ${this.lines.length} lines: ${this.errors}`);
      }
      await new Promise<void>((resolve) => this.heard.push(resolve));
    }
  }

  /** Kills it as a power cut would, and resolves once it is gone and all that it printed was read. */
  async kill(): Promise<void> {
    this.child.kill('SIGKILL');
    await this.ended;
  }

  /** Resolves once it has ended by itself, without an error. */
  async done(): Promise<void> {
    const { code, signal } = await this.ended;
    if (code !== 0) throw new Error(`ended with ${code ?? signal}: ${this.errors}`);
  }
}

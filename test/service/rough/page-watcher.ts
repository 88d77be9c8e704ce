import { execFileSync } from 'node:child_process';
import { onTestFinished } from 'vitest';
import type { House } from '../live/house.ts';

/** Somebody who looks at a page again and again; what it took is told, and not judged. */
export function pageWatcher(house: House, path: string) {
  const took: number[] = [];
  let goesOn = true;
  onTestFinished(() => {
    goesOn = false;
  });
  const done = (async () => {
    while (goesOn) {
      const from = performance.now();
      await house.get(path);
      took.push(performance.now() - from);
    }
  })();
  return {
    get seen() {
      return took.length;
    },
    async stop() {
      goesOn = false;
      await done;
    },
    tells(): string {
      const sorted = took.toSorted((a, b) => a - b);
      const at = (part: number) => sorted[Math.floor(part * (sorted.length - 1))]!.toFixed(0);
      return `a page in ${at(0.5)} ms, 95 of 100 within ${at(0.95)} ms, all within ${at(1)} ms`;
    },
  };
}

/** What a process holds in memory [MB]. */
export const residentMb = (pid: number): number =>
  Math.round(Number(execFileSync('ps', ['-o', 'rss=', '-p', String(pid)])) / 1024);

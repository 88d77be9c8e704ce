import { execFileSync } from 'node:child_process';
import { setTimeout as pause } from 'node:timers/promises';
import { historyDays } from '../../collector-service/demo/history.ts';
import { demoPoints } from '../../collector-service/demo/sensors.ts';
import { BuiltService } from './built-service.ts';
import { digits, line, median, whole } from './rounds.ts';

const SAMPLE_MS = 1_000;
const HISTORY = historyDays * 24 * 60 * demoPoints.length; // a minute apart

/**
 * Memory of the demonstration at rest: once its history is stored and worked out, and some minutes
 * have gone by.
 */
export async function memory(minutes: number): Promise<void> {
  const service = await BuiltService.start({ demo: true });
  try {
    const started = performance.now();
    const filling = samples(service.pid);
    await service.kept(HISTORY);
    await service.workedOut();
    const filledS = (performance.now() - started) / 1000;
    const whileFilling = filling.end();
    const resting = samples(service.pid);
    await pause(minutes * 60_000);
    const atRest = resting.end();
    const lastMinute = atRest.slice(-60);
    line('history stored and worked out', `${whole(HISTORY)} readings after ${digits(filledS)} s`);
    line('memory meanwhile, at most', `${digits(Math.max(...whileFilling))} MB`);
    line(
      `memory at rest, last of ${minutes} min`,
      `${digits(median(lastMinute))} MB, at most ${digits(Math.max(...atRest))} MB; aim under 150 MB`,
    );
  } finally {
    await service.stop();
  }
}

/** Takes the resident memory of a process every second until `end` gives the samples [MB]. */
function samples(pid: number): { end(): number[] } {
  const taken = [residentMb(pid)];
  const timer = setInterval(() => taken.push(residentMb(pid)), SAMPLE_MS);
  return {
    end() {
      clearInterval(timer);
      return taken;
    },
  };
}

const residentMb = (pid: number): number =>
  (Number(execFileSync('ps', ['-o', 'rss=', '-p', String(pid)])) * 1024) / 1e6;

import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import { setImmediate as turn } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { Intake } from '../../collector-service/ingest/intake.ts';
import { openStore } from '../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../collector-service/store/store.ts';
import { Watch } from '../../collector-service/watch/watch.ts';
import type { TubSetup } from '../../model/setup.ts';
import type { Alert } from '../../model/shapes.ts';
import type { ArrivedReading } from '../simulator/board.ts';
import { faults as known } from '../simulator/faults/faults.ts';
import type { ScriptedFault } from '../simulator/script.ts';

const MINUTE = 60_000;

/** So often all that was heard is worked out to the end. [min] */
const SETTLES_EVERY_MIN = 180;

/** What was so at the end of a simulated week. */
export interface Sample {
  day: number;
  heapMb: number;
  residentMb: number;
  storeBytes: number;
  /** What the program says that it will grow by. */
  growthADay: number;
}

export interface Soaked {
  /** When it began [ms]. */
  from: number;
  /** What the scripted faults are told as. */
  raises: string[];
  readings: number;
  seconds: number;
  samples: Sample[];
  alerts: Alert[];
  failures: unknown[];
}

/** Runs the program through simulated days of a house as fast as it goes, a row a minute. */
export async function soak(
  folder: string,
  options: { seed: number; from: string; days: number; faults: readonly ScriptedFault[] },
  told: (sample: Sample, seconds: number) => void = () => {},
): Promise<Soaked> {
  const { seed, from, days, faults } = options;
  const house = new SimulatedHouse([String(seed), from, String(days), JSON.stringify(faults)]);
  const began = performance.now();
  const store = openStore(folder);
  let now = 0;
  let start = 0;
  const clock = { now: () => now };
  const failures: unknown[] = [];
  const samples: Sample[] = [];
  const alerts = new Map<string, Alert>();
  let readings = 0;
  try {
    const { setup } = await house.opened;
    const intake = await Intake.open(store, clock, 0);
    const watch = new Watch({
      ...{ store, clock, earlier: () => new Map() },
      failed: (error) => failures.push(error),
    });
    await watch.start();
    watch.onSetup((given) => intake.setUp(given));
    watch.onAlert((alert) => alerts.set(alert.id, alert));
    intake.onKept((kept) => watch.heard(kept));
    for (let day = 1; day <= days; day++) {
      const sent = await house.day();
      if (day === 1) {
        start = now = sent[0]!.arrivedAt;
        await watch.putSetup({ tubs: [setup] }, Number.NEGATIVE_INFINITY);
      }
      for (const { minute, row } of minutesOf(sent)) {
        now = Math.max(now, minute * MINUTE + 30_000);
        await intake.take(rowOf(row));
        readings += row.length;
        now = (minute + 1) * MINUTE + 6_000;
        await watch.tick();
        if ((minute + 1) % SETTLES_EVERY_MIN === 0) await watch.settled();
      }
      if (day % 7 === 0 || day === days) {
        const sample = await sampled(day, store, now);
        samples.push(sample);
        told(sample, (performance.now() - began) / 1000);
      }
    }
    await watch.settled();
    await watch.stop();
  } finally {
    await house.end();
    await store.close();
  }
  const seconds = (performance.now() - began) / 1000;
  const raises = options.faults.flatMap(({ fault }) => known.get(fault)?.raises ?? []);
  return {
    ...{ from: start, raises, readings, seconds, samples, failures },
    alerts: [...alerts.values()],
  };
}

function* minutesOf(sent: readonly ArrivedReading[]) {
  for (let i = 0; i < sent.length; ) {
    const minute = Math.floor(sent[i]!.arrivedAt / MINUTE);
    const row: ArrivedReading[] = [];
    for (; i < sent.length && Math.floor(sent[i]!.arrivedAt / MINUTE) === minute; i++) {
      row.push(sent[i]!);
    }
    yield { minute, row };
  }
}

/** A row of a board as it comes: one message with all of its points. */
function rowOf(row: readonly ArrivedReading[]) {
  const pack = row.map(({ point, t, value }) => ({ n: point, t: t / 1000, v: value }));
  const payload = Buffer.from(JSON.stringify(pack));
  return { topic: `sunsteep/${row[0]!.tub}`, payload, earlier: false, waited: false };
}

async function sampled(day: number, store: Store, now: number): Promise<Sample> {
  collectGarbage();
  await turn(); // what waited for the first to be let go
  collectGarbage();
  const { heapUsed, external, rss } = process.memoryUsage();
  return {
    day,
    heapMb: (heapUsed + external) / 1e6,
    residentMb: rss / 1e6,
    storeBytes: await store.size(),
    growthADay: await store.growth(now),
  };
}

setFlagsFromString('--expose-gc');
const collectGarbage = runInNewContext('gc') as () => void;

/** The house, in a process of its own. */
class SimulatedHouse {
  readonly opened: Promise<{ setup: TubSetup }>;
  private readonly child: ChildProcess;
  private readonly gone: Promise<unknown>;
  private answer: { take: (message: unknown) => void; fail: (error: Error) => void } | null = null;

  constructor(args: string[]) {
    this.child = fork(fileURLToPath(new URL('soak-house.ts', import.meta.url)), args, {
      execArgv: ['--import', 'tsx'],
      serialization: 'advanced',
    });
    this.opened = this.next() as Promise<{ setup: TubSetup }>;
    this.child.on('message', (message) => this.answer?.take(message));
    this.gone = once(this.child, 'exit').then(([code]) => {
      this.answer?.fail(new Error(`the simulated house ended with ${code}`));
    });
  }

  day(): Promise<ArrivedReading[]> {
    this.child.send('a day');
    return this.next() as Promise<ArrivedReading[]>;
  }

  private next(): Promise<unknown> {
    return new Promise((take, fail) => {
      this.answer = { take, fail };
    });
  }

  async end(): Promise<void> {
    this.child.kill('SIGKILL');
    await this.gone;
  }
}

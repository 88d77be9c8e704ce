import { setImmediate as turn } from 'node:timers/promises';
import { onTestFinished } from 'vitest';
import { Intake } from '../../../collector-service/ingest/intake.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { outsideSigns } from '../../../collector-service/watch/outside-signs.ts';
import { Watch } from '../../../collector-service/watch/watch.ts';
import type { Setup } from '../../../model/setup.ts';
import { quickFolder } from '../../store/folders.ts';

/** What hears, keeps, works out and judges, by a clock that goes as the test says. */
export interface ByItsClock {
  clock: { t: number; now(): number };
  store: Store;
  intake: Intake;
  watch: Watch;
  /** Takes a message as one from a board, and resolves once it may be acknowledged. */
  take(topic: string, payload: string): Promise<void>;
  /** A second or so passes in which all that is due is done. */
  tick(): Promise<void>;
}

export async function byItsClock(now: number, builtAt: number, setup: Setup): Promise<ByItsClock> {
  const { folder, remove } = quickFolder();
  const store = openStore(folder);
  const clock = { t: now, now: () => clock.t };
  const intake = await Intake.open(store, clock, builtAt);
  const failures: unknown[] = [];
  const link = { trouble: null, since: now, refused: [] };
  const watch = new Watch({
    store,
    clock,
    earlier: (tub) => intake.lastKnown.of(tub),
    outside: ({ id, boards }) => outsideSigns(boards, intake.wills, link, intake.clocks.of(id)),
    failed: (error) => failures.push(error),
  });
  await watch.start();
  watch.onSetup((newest) => intake.setUp(newest));
  await watch.putSetup(setup, Number.NEGATIVE_INFINITY);
  intake.onKept((kept) => watch.heard(kept));
  onTestFinished(async () => {
    await watch.stop();
    await intake.settled();
    await store.close();
    remove();
  });
  return {
    ...{ clock, store, intake, watch },
    take: (topic, payload) =>
      intake.take({ topic, payload: Buffer.from(payload), earlier: false, waited: false }),
    async tick() {
      await watch.settled();
      await watch.tick();
      for (let turns = 0; turns < 20; turns++) await turn();
      await watch.settled();
      if (failures.length > 0) throw failures[0];
    },
  };
}

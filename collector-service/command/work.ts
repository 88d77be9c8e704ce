import { setTimeout as pause } from 'node:timers/promises';
import { systemClock } from '../clock.ts';
import { serviceRuns } from '../service-lock.ts';
import type { Store } from '../store/store.ts';
import { Watch } from '../watch/watch.ts';
import type { Io } from './command.ts';

const LOOK_AGAIN_MS = 300;

/**
 * Sees to it that everything marked as changed is worked out: by the service where one runs on the
 * folder, else here.
 */
export async function workOutMarked(store: Store, folder: string, io: Io): Promise<void> {
  while (serviceRuns(folder)) {
    if ((await store.dirty()).length === 0) return;
    io.progress('The running service works the days out …');
    await pause(LOOK_AGAIN_MS);
  }
  io.progress('Working the days out …');
  let failure: unknown = null;
  const watch = new Watch({
    store,
    clock: systemClock,
    earlier: () => new Map(),
    failed: (error) => {
      failure = error;
    },
  });
  await watch.start();
  await watch.settled();
  await watch.stop();
  io.progress('');
  if (failure !== null) throw failure;
}

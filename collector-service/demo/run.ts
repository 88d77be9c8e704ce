import type { Logger } from 'pino';
import type { Clock } from '../clock.ts';
import { SunsteepError } from '../errors.ts';
import { admissionAt, admit, TubsHeard } from '../ingest/admit.ts';
import type { Service } from '../service.ts';
import { type Board, startBoard } from './board.ts';
import { catchUp, historyStart, newestFirst, recordHistory } from './history.ts';
import { Loop } from './loop.ts';
import { demoSetup, demoTub } from './place.ts';

const KIND = 'demonstration since'; // of the store: when the simulated loop began

/**
 * Sets the simulated loop going: at the first start with its history, later from where it stood.
 * The page is up meanwhile and fills.
 *
 * @returns ends it
 */
export async function runDemo(
  service: Service,
  clock: Clock,
  log: Logger,
): Promise<() => Promise<void>> {
  const { store, watch, broker } = service;
  const since = Number((await store.note(KIND)) ?? historyStart(clock));
  await store.putNote(KIND, String(since));
  if (watch.setup().setup.tubs.length === 0)
    await watch.putSetup(demoSetup, Number.NEGATIVE_INFINITY);
  const loop = new Loop({ from: since });
  let stopped = false;
  let endBoard: (() => Promise<void>) | null = null;

  const filled = fill().catch((error: unknown) =>
    log.error({ err: error }, 'the demonstration stopped'),
  );

  async function fill(): Promise<void> {
    const heard = await store.span(demoTub.id);
    if (heard) await catchUp(loop, heard.to);
    else await keepHistory();
    if (!stopped) endBoard = startBoard(boardFor(loop));
  }

  async function keepHistory(): Promise<void> {
    const hours = await recordHistory(loop, clock);
    for await (const rows of newestFirst(hours)) {
      if (stopped) return;
      const admission = admissionAt(clock.now(), false, false, new TubsHeard([demoTub.id], []));
      const readings = rows.flatMap((row) => {
        const reading = admit({ ...row, ownTime: true }, admission);
        return 'why' in reading ? [] : [reading];
      });
      await store.keep({ readings, unreadable: [], at: clock.now() });
      watch.heard(new Set([demoTub.id]));
    }
  }

  function boardFor(onLoop: Loop): Board {
    return {
      url: `mqtt://127.0.0.1:${broker!.port}`,
      username: 'sensor',
      password: broker!.password,
      clock,
      loop: onLoop,
      onTrouble: (why) =>
        log.warn({ err: why }, 'the demonstration’s board cannot reach the broker'),
    };
  }

  return async () => {
    stopped = true;
    await filled;
    await endBoard?.();
  };
}

/** Refuses to mix a demonstration with what was really heard. */
export async function refuseMixing(
  store: Service['store'],
  demo: boolean,
  folder: string,
): Promise<void> {
  const isDemo = (await store.note(KIND)) !== null;
  const isUsed = (await store.tubs()).length > 0;
  if (isDemo === demo || (demo && !isUsed)) return;
  throw new SunsteepError(
    'SUNSTEEP_SETTING_INVALID',
    `SUNSTEEP_DATA is ${folder}, which holds ${isDemo ? 'a demonstration' : 'real readings'}: set a folder of its own`,
  );
}

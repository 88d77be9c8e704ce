import type { Logger } from 'pino';
import type { Reading } from '../../model/readings.ts';
import type { Clock } from '../clock.ts';
import { admissionAt, admit, TubsHeard } from '../ingest/admit.ts';
import type { Service } from '../service.ts';
import { type Board, startBoard } from './board.ts';
import { catchUp, historyStart, newestFirst, recordHistory } from './history.ts';
import { DEMO_SINCE } from './kind.ts';
import { Loop } from './loop.ts';
import { demoSetup, demoTub } from './place.ts';

/** Set once the whole history is stored; a first start that was cut short begins it again. */
const HISTORY_KEPT = 'demonstration history kept';

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
  const { store, watch } = service;
  const since = Number((await store.note(DEMO_SINCE)) ?? historyStart(clock));
  await store.putNote(DEMO_SINCE, String(since));
  if (watch.setup().setup.tubs.length === 0) {
    await watch.putSetup(demoSetup, Number.NEGATIVE_INFINITY);
  }
  const loop = new Loop({ from: since });
  let stopped = false;
  let endBoard: (() => Promise<void>) | null = null;
  const running = run().catch((error: unknown) =>
    log.error({ err: error }, 'the demonstration stopped'),
  );

  async function run(): Promise<void> {
    const heard = await store.span(demoTub.id);
    if (heard && (await store.note(HISTORY_KEPT)) !== null) {
      await catchUp(loop, heard.to);
      if (!stopped) endBoard = startBoard(boardOn(service, loop, clock, log));
      return;
    }
    const hours = await recordHistory(loop, clock);
    if (!stopped) endBoard = startBoard(boardOn(service, loop, clock, log));
    for await (const rows of newestFirst(hours)) {
      if (stopped) return;
      const readings = admitted(rows, clock);
      await store.keep({ readings, unreadable: [], at: clock.now() });
      watch.heard(new Map([[demoTub.id, readings[0]?.t ?? clock.now()]]));
    }
    await store.putNote(HISTORY_KEPT, 'yes');
  }

  return async () => {
    stopped = true;
    await running;
    await endBoard?.();
  };
}

/** Through the same door as everything that is heard. */
function admitted(rows: Reading[], clock: Clock): Reading[] {
  const admission = admissionAt(clock.now(), false, false, new TubsHeard([demoTub.id], []));
  return rows.flatMap((row) => {
    const reading = admit({ ...row, ownTime: true }, admission);
    return 'why' in reading ? [] : [reading];
  });
}

function boardOn({ broker }: Service, loop: Loop, clock: Clock, log: Logger): Board {
  if (!broker) throw new Error('a demonstration speaks to its own broker alone');
  return {
    url: `mqtt://127.0.0.1:${broker.port}`,
    username: 'sensor',
    password: broker.password,
    clock,
    loop,
    onTrouble: (why) => log.warn({ err: why }, 'the demonstration’s board cannot reach the broker'),
  };
}

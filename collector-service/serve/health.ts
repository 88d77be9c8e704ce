import { z } from 'zod';
import type { ErrorCode } from '../errors.ts';
import type { App, Parts } from './parts.ts';
import { iso } from './spans.ts';

const DISK_LOW = 500; // MB: told
const DISK_FULL = 100; // MB: nothing new is acknowledged
const WAITS_LONG = 60; // s

const part = z.object({ status: z.enum(['ok', 'trouble']) });

const healthSchema = z.object({
  status: z.enum(['ok', 'degraded']),
  reasons: z.array(z.string()).describe('why degraded, in plain sentences'),
  broker: part.extend({ since: z.iso.datetime().describe('since when the link stands so') }),
  store: part,
  clock: part.extend({ now: z.iso.datetime() }),
  freeDiskMb: z.int().nullable().describe('null where it cannot be told'),
  oldestUnacknowledgedS: z.int().nullable().describe('null where no message waits'),
  heard: z.int().describe('readings kept since the start'),
});

/** Anybody may ask how the service does; the answer holds nothing of the owner's, names neither. */
export function healthRoutes(app: App, parts: Parts): void {
  app.get(
    '/health',
    {
      schema: {
        summary: 'How the service does; 200 as long as it serves',
        security: [],
        response: { 200: healthSchema },
      },
    },
    async (_request, reply) => {
      reply.header('cache-control', 'no-store');
      return health(parts);
    },
  );
}

async function health({ store, clock, hearingHealth, intakeHealth, freeDiskMb }: Parts) {
  const hearing = hearingHealth();
  const { heard, keeping, why, clockWrong, oldestUnacknowledgedS } = intakeHealth();
  const waitedS = oldestUnacknowledgedS === null ? null : Math.round(oldestUnacknowledgedS);
  const freeMb = await freeDiskMb();
  const answers = await store.outsideChange().then(
    () => true,
    () => false,
  );
  const isDamaged = await store.isDamaged();
  const troubles: [so: boolean, says: string][] = [
    [hearing.trouble !== null, 'No messages can arrive: the link to the broker is down.'],
    [!answers, 'The store does not answer.'],
    [isDamaged, 'The store is damaged: stop the service and restore a backup.'],
    [
      !keeping,
      `What arrives cannot be kept: ${(why && refusals[why]) ?? 'the store takes nothing'}.`,
    ],
    [clockWrong, 'The clock of this computer is plainly wrong: set it right.'],
    [freeMb !== null && freeMb < DISK_LOW, diskSays(freeMb ?? 0)],
    [(waitedS ?? 0) > WAITS_LONG, `A message has waited ${waitedS} seconds to be kept.`],
  ];
  const reasons = troubles.filter(([so]) => so).map(([, says]) => says);
  const status = (good: boolean) => ({ status: good ? ('ok' as const) : ('trouble' as const) });
  return {
    status: reasons.length === 0 ? ('ok' as const) : ('degraded' as const),
    reasons,
    broker: { ...status(hearing.trouble === null), since: iso(hearing.since) },
    store: status(answers && keeping && !isDamaged),
    clock: { ...status(!clockWrong), now: iso(clock.now()) },
    freeDiskMb: freeMb,
    oldestUnacknowledgedS: waitedS,
    heard,
  };
}

/** Why nothing is kept, without names of files. */
const refusals: Partial<Record<ErrorCode, string>> = {
  SUNSTEEP_STORE_DISK_FULL: 'the disk is full, or does not take what is written',
  SUNSTEEP_STORE_READ_ONLY: 'the data folder cannot be written',
  SUNSTEEP_STORE_DAMAGED: 'the store is damaged',
  SUNSTEEP_STORE_BUSY: 'another program holds the store',
};

const diskSays = (mb: number): string =>
  mb < DISK_FULL
    ? `The disk is full: ${mb} MB are free, and nothing new is kept below ${DISK_FULL}.`
    : `The disk is nearly full: ${mb} MB are free.`;

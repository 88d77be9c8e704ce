import { expect, test } from 'vitest';
import type { Parts } from '../../../collector-service/serve/parts.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { healthyIntake, openHouse, T0 } from './house.ts';

async function health(change: Partial<Parts>) {
  const house = await openHouse(change);
  const answer = await house.app.inject({ url: '/health' });
  expect(answer.statusCode).toBe(200);
  await house.close();
  return answer.json();
}

const intake = (change: Partial<typeof healthyIntake>): Partial<Parts> => ({
  intakeHealth: () => ({ ...healthyIntake, ...change }),
});

test('a service that does well says so to anybody', async () => {
  expect(await health({})).toEqual({
    status: 'ok',
    reasons: [],
    broker: { status: 'ok', since: '2026-03-01T02:00:00.000Z' },
    store: { status: 'ok' },
    clock: { status: 'ok', now: '2026-03-01T02:00:00.000Z' },
    freeDiskMb: 10_000,
    oldestUnacknowledgedS: null,
    heard: 3,
  });
});

type Trouble = [what: string, change: Partial<Parts>, reason: RegExp, more: object];

const troubles: Trouble[] = [
  [
    'a broker out of reach',
    { hearingHealth: () => ({ trouble: 'secret.lan is away', since: T0 - 60_000, refused: [] }) },
    /^No messages can arrive/,
    { broker: { status: 'trouble', since: '2026-03-01T01:59:00.000Z' } },
  ],
  [
    'a store that takes nothing',
    intake({ keeping: false, trouble: '/home/owner/data: read-only' }),
    /cannot be kept/,
    { store: { status: 'trouble' } },
  ],
  ...(
    [
      ['DISK_FULL', /cannot be kept: the disk is full/],
      ['READ_ONLY', /cannot be kept: the data folder cannot be written\.$/],
      ['DAMAGED', /cannot be kept: the store is damaged\.$/],
      ['BUSY', /cannot be kept: another program holds the store\.$/],
    ] as const
  ).map(
    ([why, reason]): Trouble => [
      `a store that takes nothing, ${why}`,
      intake({ keeping: false, trouble: '/home/owner/data', why: `SUNSTEEP_STORE_${why}` }),
      reason,
      { store: { status: 'trouble' } },
    ],
  ),
  [
    'a clock plainly wrong',
    intake({ clockWrong: true }),
    /clock/,
    { clock: { status: 'trouble' } },
  ],
  [
    'a disk nearly full',
    { freeDiskMb: async () => 499 },
    /nearly full: 499 MB/,
    { freeDiskMb: 499 },
  ],
  ['a full disk', { freeDiskMb: async () => 99 }, /is full: 99 MB/, { freeDiskMb: 99 }],
  [
    'a message that waits long',
    intake({ oldestUnacknowledgedS: 61.2 }),
    /waited 61 seconds/,
    { oldestUnacknowledgedS: 61 },
  ],
];

test.each(troubles)(
  '%s is told in a plain sentence, and still served',
  async (_, change, reason, more) => {
    const told = await health(change);
    expect(told.status).toBe('degraded');
    expect(told.reasons).toHaveLength(1);
    expect(told.reasons[0]).toMatch(reason);
    expect(told).toMatchObject(more);
    expect(JSON.stringify(told)).not.toMatch(/secret|owner/);
  },
);

test('limits are not told before they are reached, nor what cannot be known', async () => {
  const fine = await health({
    freeDiskMb: async () => 500,
    ...intake({ oldestUnacknowledgedS: 60 }),
  });
  expect(fine.status).toBe('ok');
  const unknown = await health({ freeDiskMb: async () => null });
  expect(unknown).toMatchObject({ status: 'ok', freeDiskMb: null });
});

test('a store that met damage says so until it is another one', async () => {
  const house = await openHouse();
  const store: Store = Object.assign(Object.create(house.store), { isDamaged: async () => true });
  expect(await health({ store })).toMatchObject({
    status: 'degraded',
    reasons: ['The store is damaged: stop the service and restore a backup.'],
    store: { status: 'trouble' },
  });
  await house.close();
});

test('a store that does not answer is told', async () => {
  const house = await openHouse();
  const outsideChange = async () => {
    throw new Error('disk I/O');
  };
  const store: Store = Object.assign(Object.create(house.store), { outsideChange });
  const told = await health({ store });
  expect(told).toMatchObject({
    status: 'degraded',
    reasons: ['The store does not answer.'],
    store: { status: 'trouble' },
  });
  await house.close();
});

import { connectAsync } from 'mqtt';
import { pino } from 'pino';
import { afterEach, expect, test } from 'vitest';
import { systemClock } from '../../../collector-service/clock.ts';
import { startService } from '../../../collector-service/service.ts';
import type { Settings } from '../../../collector-service/settings.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import { temporaryFolder } from '../../store/folders.ts';
import { kowhai } from '../serve/samples.ts';
import { receiver } from './notices.ts';

const ends: (() => unknown)[] = [];
afterEach(async () => {
  for (const end of ends.splice(0).reverse()) await end();
});

const settings = (data: string): Settings => ({
  ...{ data, host: '127.0.0.1', port: 0, url: null, token: null, tls: null, logLevel: 'silent' },
  outsideBroker: null,
  broker: {
    ...{ host: '127.0.0.1', port: 0, tlsPort: 0, password: 'for the boards' },
    readerPassword: 'for readers',
  },
});

/** Collects what comes; `next` resolves with the first, from the last one on, that fits. */
function mailbox<T>() {
  const came: T[] = [];
  let wake = () => {};
  return {
    came,
    put(one: T) {
      came.push(one);
      wake();
    },
    async next(fits: (one: T) => boolean): Promise<T> {
      for (let i = 0; ; i++) {
        while (i >= came.length) await new Promise<void>((resolve) => (wake = resolve));
        if (fits(came[i]!)) return came[i]!;
      }
    },
  };
}

test('water that is too hot reaches the webhook and the broker of the running service', async () => {
  const { folder, remove } = temporaryFolder();
  ends.push(remove);
  const calls = mailbox<{ event: string; alert: { fault: string; severity: string } }>();
  const hook = await receiver((response, { body }) => {
    response.end();
    calls.put(JSON.parse(String(body)));
  });
  ends.push(hook.close);

  const store = openStore(folder);
  const now = systemClock.now();
  const readings = Array.from({ length: 90 }, (_, i) => ({
    ...{ tub: 'kowhai', point: 'tub/temperature', t: now - i * 30_000, value: 42 },
  }));
  await store.keep({ readings, unreadable: [], at: now });
  const webhook = { url: `http://127.0.0.1:${hook.port}/`, allowLocal: true };
  const setup = { tubs: [kowhai], notify: { webhook } };
  await store.addSetup({ from: Number.NEGATIVE_INFINITY, setup, madeAt: now });
  await store.close();

  const log = pino({ level: 'silent' });
  const service = await startService({
    ...{ settings: settings(folder), clock: systemClock, log, demo: false },
  });
  ends.push(() => service.stop());
  const url = `mqtt://127.0.0.1:${service.broker!.port}`;
  const reader = await connectAsync(url, { username: 'reader', password: 'for readers' });
  ends.push(() => reader.endAsync(true));
  const reports = mailbox<string>();
  reader.on('message', (_topic, text) => reports.put(String(text)));
  await reader.subscribeAsync('sunsteep/kowhai/report/alerts');

  const { alert } = await calls.next(({ alert: { fault } }) => fault === 'water-too-hot');
  expect(alert).toMatchObject({ severity: 'danger', until: null, tub: 'kowhai' });
  const reported = await reports.next((text) => text.includes('water-too-hot'));
  const [open] = JSON.parse(reported) as [{ id: string; acknowledgedAt: string | null }];
  expect(open.acknowledgedAt).toBeNull();
  await service.watch.acknowledge('kowhai', open.id);
  const seen = await reports.next((text) => /"acknowledgedAt":"2/.test(text));
  expect(JSON.parse(seen)[0].id).toBe(open.id);
  await service.watch.notAFault('kowhai', open.id, 'a try');
  await reports.next((text) => text === '[]');
  const over = await calls.next(({ event }) => event === 'over');
  expect(over.alert.fault).toBe('water-too-hot');
});

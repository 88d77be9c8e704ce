import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import { Watch } from '../../../collector-service/watch/watch.ts';
import { learnedShape } from '../../../model/learned-since.ts';

test('before the first reading it is told what was entered and what is assumed', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-learned-'));
  const store = await openStore(folder);
  const now = Date.parse('2026-03-01T00:00:00Z');
  const failed = (error: unknown) => {
    throw error;
  };
  const watch = new Watch({ store, clock: { now: () => now }, earlier: () => new Map(), failed });
  await watch.start();
  const place = { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' };
  const tub = { id: 'kowhai', place, tub: { lossWPerK: 7.5 } };
  expect(watch.learned('kowhai')).toEqual([]);
  await watch.putSetup({ tubs: [tub] }, now);
  expect(learnedShape(watch.learned('kowhai'), 'Pacific/Auckland')).toMatchObject({
    lossWPerK: { value: 7.5, uncertainty: 1.5, basis: 'set-up', from: null, readingsTo: null },
    flowLPerMin: { basis: 'assumed', readingsFrom: null },
    standingLitres: { basis: 'assumed' },
  });
  await watch.stop();
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

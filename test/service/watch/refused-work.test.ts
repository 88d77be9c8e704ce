import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { demoSetup, demoTub } from '../../../collector-service/demo/place.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import { Watch } from '../../../collector-service/watch/watch.ts';
import { MINUTE } from '../../../model/readings.ts';

const T0 = Date.parse('2026-03-01T20:00:00Z');

test.each(['putLedger', 'putDays'] as const)(
  '%s that the store refused is done once it can be, though nothing more is heard',
  async (refused) => {
    const folder = mkdtempSync(join(tmpdir(), 'sunsteep-refused-'));
    const store = openStore(folder);
    const clock = { t: T0, now: () => clock.t };
    const failures: unknown[] = [];
    const watch = new Watch({
      ...{ store, clock, earlier: () => new Map() },
      failed: (error) => failures.push(error),
    });
    await watch.start();
    await watch.putSetup(demoSetup, Number.NEGATIVE_INFINITY);
    const readings = Array.from({ length: 30 }, (_, minute) => ({
      ...{ tub: demoTub.id, point: 'tub/temperature' },
      ...{ t: T0 - minute * MINUTE, value: 37 },
    }));
    const write = store[refused].bind(store);
    store[refused] = () => Promise.reject(new Error('the disk is full'));
    await store.keep({ readings, unreadable: [], at: T0 });
    watch.heard(new Map([[demoTub.id, T0 - 30 * MINUTE]]));
    while (failures.length === 0) await new Promise((turn) => setImmediate(turn));
    store[refused] = write as never;
    expect(await store.dirty()).not.toEqual([]);
    while ((await store.dirty()).length > 0) {
      clock.t += 1000;
      await watch.tick();
      await new Promise((turn) => setImmediate(turn));
    }
    expect((await watch.days(demoTub.id))!.map(({ tubHighC }) => tubHighC)).toEqual([37]);
    await watch.stop();
    await store.close();
    rmSync(folder, { recursive: true });
  },
);

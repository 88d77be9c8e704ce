import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { newestFirst, recordHistory } from '../../../collector-service/demo/history.ts';
import { Loop } from '../../../collector-service/demo/loop.ts';
import { demoTub } from '../../../collector-service/demo/place.ts';
import { contentsOf } from '../../../collector-service/handover/contents.ts';
import { handover } from '../../../collector-service/handover/handover.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { Watch } from '../../../collector-service/watch/watch.ts';
import type { LogEntryShape } from '../../../model/owner-log.ts';

/** A store in which some weeks of a simulated tub are worked out, with all that people add to it. */

const DAY = 86_400_000;
export const NOW = Date.UTC(2026, 10, 20, 3, 17, 42);
const WEEKS = 6;

export interface WorkedHouse {
  folder: string;
  store: Store;
  watch: Watch;
  /** A hand-over file of some days, as bytes. */
  handedOver(from: string, to: string, at?: number): Promise<Buffer>;
  close(): Promise<void>;
}

/** Words that stay in the house. */
export const secrets = ['pass-word-of-mail', 'key-that-signs', 'nobody@mail.test', 'hook.test'];

export const remarks = {
  markup: '<script>alert(1)</script> & "so" on',
  formula: '=HYPERLINK("http://leak.test","look")',
  longAgo: 'what nobody needs to know by now',
};

const ago = (days: number) => new Date(NOW - days * DAY).toISOString();

const entries: Omit<LogEntryShape, 'id'>[] = [
  { kind: 'remark', from: ago(30), note: remarks.longAgo },
  { kind: 'cover-changed', from: ago(25), note: remarks.longAgo },
  { kind: 'bathing', from: ago(8.2), until: ago(8.1), data: { people: 3 } },
  { kind: 'remark', from: ago(8), note: remarks.markup },
  { kind: 'bucket-test', from: ago(7.5), data: { lPerMin: 4.1 }, note: remarks.formula },
];

export async function workedHouse(): Promise<WorkedHouse> {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-handover-'));
  const store = openStore(folder);
  const clock = { now: () => NOW };
  const loop = new Loop({ from: NOW - WEEKS * 7 * DAY });
  for await (const readings of newestFirst(await recordHistory(loop, clock))) {
    await store.keep({ readings, unreadable: [], at: NOW });
  }
  const other = { tub: 'neighbours', point: 'tub/temperature', t: NOW - DAY, value: 31.25 };
  await store.keep({ readings: [other], unreadable: [], at: NOW });
  let failure: unknown = null;
  const watch = new Watch({
    ...{ store, clock, earlier: () => new Map() },
    failed: (error) => {
      failure = error;
    },
  });
  await watch.start();
  const { lossWPerK: _, ...tub } = demoTub.tub;
  const [place, notify] = [{ ...demoTub.place, latitude: -41.5 }, notices];
  const tubs = [
    { ...demoTub, tub },
    { id: 'neighbours', name: 'Over the fence', place },
  ];
  await watch.putSetup({ tubs, notify }, Number.NEGATIVE_INFINITY);
  for (const entry of entries) await watch.addLog('kowhai', entry);
  const steeper = { ...demoTub, tub, collectors: { ...demoTub.collectors, tiltDeg: 50 } };
  await watch.putSetup({ tubs: [steeper, tubs[1]!], notify }, NOW - 7.1 * DAY);
  await watch.settled();
  if (failure !== null) throw failure;
  return {
    ...{ folder, store, watch },
    async handedOver(from, to, at = NOW) {
      const pieces: Uint8Array[] = [];
      const contents = await contentsOf(store, 'kowhai', from, to, at);
      for await (const piece of handover(store, contents)) pieces.push(piece);
      return Buffer.concat(pieces);
    },
    async close() {
      await watch.stop();
      await store.close();
      rmSync(folder, { recursive: true });
    },
  };
}

const notices = {
  mail: {
    ...{ host: 'mail.test', from: 'tub@mail.test', to: ['nobody@mail.test'] },
    ...{ user: 'tub', password: 'pass-word-of-mail' },
  },
  webhook: { url: 'https://hook.test/in', secret: 'key-that-signs' },
};

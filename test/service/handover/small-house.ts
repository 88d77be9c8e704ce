import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { contentsOf } from '../../../collector-service/handover/contents.ts';
import { handover } from '../../../collector-service/handover/handover.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { kowhaiPlace } from '../live/house.ts';

/** A store with some readings of a tub that is set up, and nothing worked out. */

const NOW = Date.UTC(2026, 2, 3);
const MINUTE = 60_000;

export interface SmallHouse {
  folder: string;
  store: Store;
  handedOver(from?: string, to?: string): AsyncGenerator<Uint8Array>;
  close(): Promise<void>;
}

export async function smallHouse(rows = 600): Promise<SmallHouse> {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-handover-'));
  const store = openStore(folder);
  const setup = { tubs: [{ id: 'kowhai', place: kowhaiPlace }] };
  await store.addSetup({ from: Number.NEGATIVE_INFINITY, setup, madeAt: NOW });
  const readings = Array.from({ length: rows }, (_, i) => ({
    tub: 'kowhai',
    point: i % 2 ? 'tub/temperature' : 'collector/temperature',
    t: NOW - i * (MINUTE / 12),
    value: 30 + (i % 97) / 16,
  }));
  await store.keep({ readings, unreadable: [], at: NOW });
  const entry = { kind: 'remark', until: null, data: null } as const;
  await store.addLogEntry('kowhai', { id: 'a', ...entry, from: NOW, note: 'as it was' }, NOW);
  return {
    ...{ folder, store },
    async *handedOver(from = '2026-03-02', to = '2026-03-03') {
      yield* handover(store, await contentsOf(store, 'kowhai', from, to, NOW));
    },
    async close() {
      await store.close();
      rmSync(folder, { recursive: true });
    },
  };
}

export async function bytesOf(pieces: AsyncIterable<Uint8Array>): Promise<Uint8Array> {
  const all: Uint8Array[] = [];
  for await (const piece of pieces) all.push(piece);
  return new Uint8Array(Buffer.concat(all));
}

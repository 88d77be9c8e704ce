// Makes the small store that is kept for a schema version, with the program of that version:
//   node --import tsx test/store/versions/make.ts
// writes schema-N.db.gz beside this file, N being the schema of the sources that stand here.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import Database from 'better-sqlite3';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import { Watch } from '../../../collector-service/watch/watch.ts';
import type { AlertRecord } from '../../../model/alerts/alert-life.ts';
import { END, place, points, readings, START } from './kept.ts';

const folder = mkdtempSync(join(tmpdir(), 'sunsteep-version-'));
const store = openStore(folder);
const unreadable = [{ topic: 'shed/x', payload: 'nan', why: 'no number' }];
await store.keep({ readings: readings(), unreadable, at: END });

const watch = new Watch({
  store,
  clock: { now: () => END },
  earlier: () => new Map(),
  failed: (error) => {
    throw error;
  },
});
await watch.start();
const longestGapMin = Object.fromEntries(points.map((point) => [point, 30]));
const tub = { id: 'kowhai', name: 'Kōwhai Terrace', place, longestGapMin };
await watch.putSetup({ tubs: [tub] }, Number.NEGATIVE_INFINITY);
await watch.putSetup({ tubs: [{ ...tub, tub: { litres: 1100 } }] }, START + 86_400_000);
const cleaned = new Date(START + 72_000_000).toISOString();
await watch.addLog('kowhai', { kind: 'filter-cleaned', from: cleaned, note: 'leaves' });
await watch.settled();

const phone = { tubs: null, until: null, pairedAt: START };
await store.addPhone({ ...phone, id: 'p1', name: 'Hall', right: 'full' }, 'a-hash');
const guest = { id: 'p2', name: 'Guest', right: 'viewer', tubs: ['kowhai'] } as const;
await store.addPhone({ ...phone, ...guest, tubs: ['kowhai'], until: END + 1e10 }, 'b-hash');
const link = { id: 'l1', right: 'viewer', tubs: null, until: null, expires: END + 1e10 } as const;
await store.addLink(link, 'c-hash');
await store.putNote('a note', 'kept');

const alert: AlertRecord = {
  ...{ id: 'a1', fault: 'pump-not-running', point: null, severity: 'act', until: null },
  ...{ since: START + 1e7, raisedAt: START + 1.1e7, unknownSince: null, costKwh: 1.5 },
  evidence: { differenceK: 40 },
};
const rounds = { alerts: [alert], setupId: 1, days: [], to: END, dropBefore: null };
await store.putRounds('kowhai', rounds);
await store.acknowledge('kowhai', 'a1', END);
const address = { endpoint: 'https://push.test/1', p256dh: 'k', auth: 'a' };
const wishes = { least: 'look', quiet: null } as never;
await store.subscribe({ phone: 'p1', ...address, wishes });
await watch.stop();
await store.close();

const file = join(folder, 'sunsteep.db');
const db = new Database(file);
db.pragma('journal_mode = DELETE');
db.exec('VACUUM');
const version = db.pragma('user_version', { simple: true });
db.close();
writeFileSync(
  join(import.meta.dirname, `schema-${version}.db.gz`),
  gzipSync(readFileSync(file), { level: 9 }),
);
rmSync(folder, { recursive: true });
console.log(`schema-${version}.db.gz`);

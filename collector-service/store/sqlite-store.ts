import { statSync } from 'node:fs';
import { join } from 'node:path';
import { setImmediate as turn } from 'node:timers/promises';
import type { DayFigures } from '../../model/day-figures.ts';
import type { Quarter } from '../../model/ledger.ts';
import type { LogEntry } from '../../model/owner-log.ts';
import type { Reading, Trace } from '../../model/readings.ts';
import type { Setup } from '../../model/setup.ts';
import { SunsteepError } from '../errors.ts';
import { AlertsTable } from './alerts-table.ts';
import { type Db, guarded, openDatabase, STORE_FILE } from './database.ts';
import { Growth } from './growth.ts';
import { LedgerTable } from './ledger-table.ts';
import { LogTable } from './log-table.ts';
import { Marks } from './marks.ts';
import { NoticesTable } from './notices-table.ts';
import { PhonesTable } from './phones-table.ts';
import { ReadingsTable } from './readings-table.ts';
import type {
  Arrivals,
  Bucket,
  Change,
  ChannelName,
  ChannelRecord,
  DirtyMark,
  KeptAlert,
  NewNotice,
  Notice,
  PagePlace,
  PairingLink,
  Phone,
  RoundsKept,
  SetupVersion,
  Shelf,
  Store,
  Subscription,
  ToldNotice,
  Tried,
  TubHeard,
  Unreadable,
  UnreadableKind,
} from './store.ts';

/** How many kinds of unreadable messages are kept; the longest unheard go first. */
const MOST_UNREADABLE_KINDS = 1000;
export const NEWEST_ARRIVAL = 'newest arrival';

/** Where another process is writing: how long others here get their turn [ms], and how often. */
const PAUSE_MS = 15;
const MOST_TRIES = 400;
/** After so many buckets others get their turn. */
const BUCKETS_AT_ONCE = 50;

/** Opens the store of a data folder, making it where there is none. */
export function openStore(folder: string): Store {
  return storeOn(openDatabase(folder), join(folder, STORE_FILE));
}

/** The store on a database that `openDatabase` opened; closes it where it cannot be used. */
export function storeOn(db: Db, file: string): Store {
  try {
    const store = guarded(() => new SqliteStore(db, file));
    // What is left where a kill came between; whatever hinders it now, the next start tries again.
    store.sweep().catch(() => {});
    return store;
  } catch (error) {
    db.close();
    throw error;
  }
}

/** The store on SQLite, which answers at once and in the same thread. */
class SqliteStore implements Store {
  private readonly db: Db;
  private damaged = false;
  private readonly file: string;
  private readonly sql;
  private readonly readingsTable: ReadingsTable;
  private readonly ledgerTable: LedgerTable;
  private readonly phonesTable: PhonesTable;
  private readonly alertsTable: AlertsTable;
  private readonly logTable: LogTable;
  private readonly noticesTable: NoticesTable;
  private readonly marks: Marks;
  private readonly growing: Growth;

  constructor(db: Db, file: string) {
    this.db = db;
    this.file = file;
    this.sql = statements(db);
    this.readingsTable = new ReadingsTable(db);
    this.ledgerTable = new LedgerTable(db);
    this.phonesTable = new PhonesTable(db);
    this.alertsTable = new AlertsTable(db);
    this.logTable = new LogTable(db);
    this.noticesTable = new NoticesTable(db);
    this.marks = new Marks(db);
    this.growing = new Growth(db);
  }

  /**
   * One transaction: all of it is kept, or none. Work leaves nothing behind outside the database,
   * since it is done again where another process held the database when it began.
   */
  private async write<T>(work: () => T): Promise<T> {
    for (let tries = 1; ; tries++) {
      try {
        return this.asked(() => this.db.transaction(work).immediate());
      } catch (error) {
        const isBusy = error instanceof SunsteepError && error.code === 'SUNSTEEP_STORE_BUSY';
        if (!isBusy || tries === MOST_TRIES) throw error;
      }
      await new Promise((resolve) => setTimeout(resolve, PAUSE_MS));
    }
  }

  /** Asks the database, and remembers where it found itself damaged. */
  private asked<T>(work: () => T): T {
    try {
      return guarded(work);
    } catch (error) {
      this.damaged ||= error instanceof SunsteepError && error.code === 'SUNSTEEP_STORE_DAMAGED';
      throw error;
    }
  }

  async keep({ readings, unreadable, at }: Arrivals): Promise<void> {
    await this.write(() => {
      for (const { tub, point, from, to } of this.readingsTable.keep(readings)) {
        this.marks.add(tub, point, from, to);
      }
      for (const tub of new Set(readings.map((reading) => reading.tub))) {
        this.sql.arrived.run(tub, at);
      }
      this.sql.newestArrival.run(NEWEST_ARRIVAL, at);
      if (unreadable.length > 0) this.keepUnreadable(unreadable, at);
    });
  }

  private keepUnreadable(unreadable: readonly Unreadable[], at: number): void {
    for (const { topic, why, payload } of unreadable) {
      this.sql.addUnreadable.run({ topic, why, payload, at });
    }
    this.sql.dropUnreadable.run(MOST_UNREADABLE_KINDS);
  }

  async tubs(): Promise<TubHeard[]> {
    return this.asked(() => this.sql.tubs.all() as TubHeard[]);
  }

  async forgetTub(tub: string): Promise<void> {
    await this.write(() => {
      this.readingsTable.forgetTub(tub);
      this.ledgerTable.forgetTub(tub);
      this.alertsTable.forgetTub(tub);
      this.logTable.forgetTub(tub);
      this.noticesTable.forgetTub(tub);
      for (const sql of this.sql.forgetTub) sql.run({ tub });
    });
    await this.sweep();
  }

  /** Removes the readings of forgotten tubs, in parts so that nothing else waits long. */
  async sweep(): Promise<void> {
    while (await this.write(() => this.readingsTable.sweep())) await turn();
  }

  async points(tub: string): Promise<string[]> {
    return this.asked(() => this.readingsTable.points(tub));
  }

  async recent(tub: string, count: number): Promise<Map<string, Trace>> {
    return this.asked(() => this.readingsTable.recent(tub, count));
  }

  async span(tub: string): Promise<{ from: number; to: number } | null> {
    return this.asked(() => this.readingsTable.span(tub));
  }

  async traces(
    tub: string,
    points: readonly string[],
    from: number,
    to: number,
    nearestMs: (point: string) => number = () => 0,
  ): Promise<Map<string, Trace>> {
    return this.asked(() => {
      const traces = new Map<string, Trace>();
      for (const point of points) {
        const trace = this.readingsTable.trace(tub, point, from, to, nearestMs(point));
        if (trace) traces.set(point, trace);
      }
      return traces;
    });
  }

  async page(
    tub: string,
    points: readonly string[],
    from: number,
    to: number,
    limit: number,
    after?: PagePlace,
  ): Promise<Reading[]> {
    return this.asked(() => this.readingsTable.page(tub, points, from, to, limit, after));
  }

  async buckets(
    tub: string,
    point: string,
    from: number,
    to: number,
    bucketMs: number,
  ): Promise<Bucket[]> {
    const buckets = this.readingsTable.buckets(tub, point, from, to, bucketMs);
    const found: Bucket[] = [];
    for (;;) {
      const { done, value } = this.asked(() => buckets.next());
      if (done) return found;
      if (found.push(value) % BUCKETS_AT_ONCE === 0) await turn();
    }
  }

  async dirty(): Promise<DirtyMark[]> {
    return this.asked(() => this.marks.all());
  }

  async markDirty(tub: string, from: number, to: number): Promise<void> {
    await this.write(() => this.marks.add(tub, null, from, to));
  }

  async putLedger(
    tub: string,
    rows: readonly Quarter[],
    span: { from: number; to: number },
    done: readonly DirtyMark[],
  ): Promise<void> {
    await this.write(() => {
      this.ledgerTable.put(tub, rows, span);
      this.marks.done(done);
    });
  }

  async ledger(tub: string, from: number, to: number): Promise<Quarter[]> {
    return this.asked(() => this.ledgerTable.rows(tub, from, to));
  }

  async days(tub: string): Promise<DayFigures[]> {
    return this.asked(() => this.ledgerTable.days(tub));
  }

  async putDays(
    tub: string,
    days: readonly DayFigures[],
    done: readonly DirtyMark[],
  ): Promise<void> {
    await this.write(() => {
      this.ledgerTable.putDays(tub, days);
      this.marks.done(done);
    });
  }

  async clearDays(tub: string): Promise<void> {
    await this.write(() => this.ledgerTable.clearDays(tub));
  }

  async alerts(tub: string, open: boolean): Promise<KeptAlert[]> {
    return this.asked(() => this.alertsTable.alerts(tub, open));
  }

  async alert(tub: string, id: string): Promise<KeptAlert | null> {
    return this.asked(() => this.alertsTable.alert(tub, id));
  }

  async alertsSince(tub: string, since: number): Promise<KeptAlert[]> {
    return this.asked(() => this.alertsTable.alertsSince(tub, since));
  }

  async acknowledge(tub: string, id: string, at: number): Promise<void> {
    await this.write(() => this.alertsTable.acknowledge(tub, id, at));
  }

  async dismiss(tub: string, id: string, at: number): Promise<void> {
    await this.write(() => this.alertsTable.dismiss(tub, id, at));
  }

  async shelves(tub: string): Promise<Shelf[]> {
    return this.asked(() => this.alertsTable.shelves(tub));
  }

  async shelve(tub: string, shelf: Shelf): Promise<void> {
    await this.write(() => this.alertsTable.shelve(tub, shelf));
  }

  async rounds(tub: string): ReturnType<Store['rounds']> {
    return this.asked(() => this.alertsTable.rounds(tub));
  }

  async putRounds(tub: string, kept: RoundsKept): Promise<void> {
    await this.write(() => this.alertsTable.putRounds(tub, kept));
  }

  async addNotice(notice: NewNotice): Promise<Notice | null> {
    return this.write(() => this.noticesTable.add(notice));
  }

  async told(tub: string): Promise<ToldNotice[]> {
    return this.asked(() => this.noticesTable.told(tub));
  }

  async dueNotices(at: number): Promise<Notice[]> {
    return this.asked(() => this.noticesTable.due(at));
  }

  async noticeTried(id: number, tried: Tried): Promise<void> {
    await this.write(() => this.noticesTable.tried(id, tried));
  }

  async dropNotice(id: number): Promise<void> {
    await this.write(() => this.noticesTable.drop(id));
  }

  async dropNotices(before: number): Promise<void> {
    await this.write(() => this.noticesTable.dropOld(before));
  }

  async channelRecord(channel: ChannelName): Promise<ChannelRecord> {
    return this.asked(() => this.noticesTable.record(channel));
  }

  async subscriptions(): Promise<Subscription[]> {
    return this.asked(() => this.noticesTable.subscriptions());
  }

  async subscribe(subscription: Subscription): Promise<boolean> {
    return this.write(() => this.noticesTable.subscribe(subscription));
  }

  async unsubscribe(phone: string): Promise<boolean> {
    return this.write(() => this.noticesTable.unsubscribe(phone));
  }

  async setupVersions(): Promise<SetupVersion[]> {
    const rows = this.asked(() => this.sql.setups.all()) as {
      id: number;
      from: number | null;
      madeAt: number;
      document: string;
    }[];
    return rows.map(({ document, from, ...version }) => ({
      ...version,
      from: from ?? Number.NEGATIVE_INFINITY,
      setup: JSON.parse(document) as Setup,
    }));
  }

  async addSetup(
    { from, setup, madeAt }: { from: number; setup: Setup; madeAt: number },
    ifNewest?: number | null,
    changes: readonly Change[] = [],
  ): Promise<SetupVersion> {
    const stored = from === Number.NEGATIVE_INFINITY ? null : from;
    const id = await this.write(() => {
      const newest = (this.sql.newestSetup.get() as number | undefined) ?? null;
      if (ifNewest !== undefined && ifNewest !== newest) {
        throw new SunsteepError(
          'SUNSTEEP_SETUP_CHANGED',
          'the set-up was changed by someone else meanwhile: read it again, then change it',
        );
      }
      this.markAll(changes);
      return Number(this.sql.addSetup.run(stored, madeAt, JSON.stringify(setup)).lastInsertRowid);
    });
    return { id, from, madeAt, setup };
  }

  async logEntries(tub: string): Promise<LogEntry[]> {
    return this.asked(() => this.logTable.entries(tub));
  }

  async addLogEntry(
    tub: string,
    entry: LogEntry,
    madeAt: number,
    changes: readonly Change[] = [],
  ): Promise<void> {
    await this.write(() => {
      this.logTable.add(tub, entry, madeAt);
      this.markAll(changes);
    });
  }

  async removeLogEntry(tub: string, id: string, changes: readonly Change[] = []): Promise<boolean> {
    return this.write(() => {
      const removed = this.logTable.remove(tub, id);
      if (removed) this.markAll(changes);
      return removed;
    });
  }

  private markAll(changes: readonly Change[]): void {
    for (const { tub, from, to } of changes) this.marks.add(tub, null, from, to);
  }

  async unreadable(): Promise<UnreadableKind[]> {
    return this.asked(() => this.sql.unreadable.all() as UnreadableKind[]);
  }

  async phones(): Promise<Phone[]> {
    return this.asked(() => this.phonesTable.phones());
  }

  async addPhone(phone: Omit<Phone, 'seenAt'>, cookieHash: string): Promise<void> {
    await this.write(() => this.phonesTable.addPhone(phone, cookieHash));
  }

  async phoneByCookie(cookieHash: string): Promise<Phone | null> {
    return this.asked(() => this.phonesTable.phoneByCookie(cookieHash));
  }

  async phoneSeen(id: string, at: number): Promise<void> {
    await this.write(() => this.phonesTable.phoneSeen(id, at));
  }

  async renamePhone(id: string, name: string): Promise<void> {
    await this.write(() => this.phonesTable.renamePhone(id, name));
  }

  async removePhone(id: string): Promise<boolean> {
    return this.write(() => {
      this.noticesTable.unsubscribe(id);
      return this.phonesTable.removePhone(id);
    });
  }

  async addLink(link: PairingLink, codeHash: string): Promise<void> {
    await this.write(() => this.phonesTable.addLink(link, codeHash));
  }

  async links(): Promise<PairingLink[]> {
    return this.asked(() => this.phonesTable.links());
  }

  async takeLink(codeHash: string, at: number): Promise<PairingLink | null> {
    return this.write(() => this.phonesTable.takeLink(codeHash, at));
  }

  async removeLink(id: string): Promise<boolean> {
    return this.write(() => this.phonesTable.removeLink(id));
  }

  async note(key: string): Promise<string | null> {
    return this.asked(() => (this.sql.note.get(key) as string | undefined) ?? null);
  }

  async putNote(key: string, value: string): Promise<void> {
    await this.write(() => this.sql.putNote.run(key, value));
  }

  async outsideChange(): Promise<number> {
    return this.asked(() => this.db.pragma('data_version', { simple: true }) as number);
  }

  async size(): Promise<number> {
    return this.asked(() =>
      [this.file, `${this.file}-wal`]
        .map((file) => statSync(file, { throwIfNoEntry: false })?.size ?? 0)
        .reduce((sum, bytes) => sum + bytes),
    );
  }

  async isDamaged(): Promise<boolean> {
    return this.damaged;
  }

  async growth(t: number): Promise<number> {
    return this.asked(() => this.growing.bytesADay(t));
  }

  async close(): Promise<void> {
    this.db.close();
  }
}

function statements(db: Db) {
  return {
    arrived: db.prepare(
      `INSERT INTO tub (name, arrived_at) VALUES (?, ?)
       ON CONFLICT (name) DO UPDATE SET arrived_at = max(arrived_at, excluded.arrived_at)`,
    ),
    newestArrival: db.prepare(
      `INSERT INTO note (key, value) VALUES (?, CAST(CAST(? AS INTEGER) AS TEXT))
       ON CONFLICT (key) DO UPDATE SET value = excluded.value
       WHERE CAST(excluded.value AS INTEGER) > CAST(value AS INTEGER)`,
    ),
    tubs: db.prepare('SELECT name AS tub, arrived_at AS arrivedAt FROM tub ORDER BY name'),
    forgetTub: [
      db.prepare('DELETE FROM dirty WHERE tub = @tub'),
      db.prepare('DELETE FROM tub WHERE name = @tub'),
      db.prepare(
        `DELETE FROM unreadable WHERE topic = 'sunsteep/' || @tub
           OR topic > 'sunsteep/' || @tub || '/' AND topic < 'sunsteep/' || @tub || '0'`,
      ),
    ],
    setups: db.prepare(
      'SELECT id, from_t AS "from", made_at AS madeAt, document FROM setup ORDER BY id',
    ),
    newestSetup: db.prepare('SELECT max(id) FROM setup').pluck(),
    addSetup: db.prepare('INSERT INTO setup (from_t, made_at, document) VALUES (?, ?, ?)'),
    addUnreadable: db.prepare(
      `INSERT INTO unreadable (topic, why, payload, count, first, last)
       VALUES (@topic, @why, @payload, 1, @at, @at)
       ON CONFLICT (topic, why) DO UPDATE SET count = count + 1, payload = excluded.payload,
         first = min(first, excluded.first), last = max(last, excluded.last)`,
    ),
    dropUnreadable: db.prepare(
      `DELETE FROM unreadable WHERE (topic, why) IN
         (SELECT topic, why FROM unreadable ORDER BY last DESC, topic, why LIMIT -1 OFFSET ?)`,
    ),
    unreadable: db.prepare(
      'SELECT topic, payload, why, count, first, last FROM unreadable ORDER BY last DESC, topic',
    ),
    note: db.prepare('SELECT value FROM note WHERE key = ?').pluck(),
    putNote: db.prepare(
      'INSERT INTO note (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value',
    ),
  };
}

import type { Db } from './database.ts';
import type {
  ChannelName,
  ChannelRecord,
  NewNotice,
  Notice,
  Subscription,
  ToldNotice,
  Tried,
} from './store.ts';

interface ToldRow {
  id: number;
  tub: string;
  channel: ChannelName;
  target: string;
  about: string;
  made_at: number;
  due: number | null;
  sent_at: number | null;
}

interface NoticeRow extends ToldRow {
  message: string;
  tries: number;
}

interface SubscriptionRow {
  phone: string;
  endpoint: string;
  p256dh: string;
  auth: string;
  wishes: string;
}

/** What was told of alerts, to whom, and what waits to be; and where phones get it. */
export class NoticesTable {
  private readonly sql;

  constructor(db: Db) {
    this.sql = {
      isHeard: db.prepare('SELECT 1 FROM tub WHERE name = ?'),
      add: db.prepare(
        `INSERT INTO notice (tub, channel, target, about, message, made_at, due, tries)
         VALUES (@tub, @channel, @target, @about, @message, @madeAt, @madeAt, 0)`,
      ),
      told: db.prepare(
        `SELECT id, tub, channel, target, about, made_at, due, sent_at FROM notice
         WHERE tub = ? ORDER BY id`,
      ),
      due: db.prepare('SELECT * FROM notice WHERE due <= ? ORDER BY due, id'),
      tried: db.prepare(
        `UPDATE notice SET tries = tries + 1, tried_at = @at, due = @due, sent_at = @sentAt,
           trouble = @trouble WHERE id = @id`,
      ),
      drop: db.prepare('DELETE FROM notice WHERE id = ?'),
      // what stands is told again as if for the first time where nothing tells that it was told
      dropOld: db.prepare(
        `DELETE FROM notice WHERE made_at < ? AND due IS NULL AND NOT EXISTS (
           SELECT 1 FROM json_each(notice.about) AS told JOIN alert
             ON alert.tub = notice.tub AND alert.id = told.value ->> 'alert'
           WHERE alert.until IS NULL)`,
      ),
      forgetTub: db.prepare('DELETE FROM notice WHERE tub = ?'),
      record: db.prepare(
        `SELECT max(sent_at) AS sentAt, count(due) AS waiting FROM notice WHERE channel = ?`,
      ),
      lastTrouble: db
        .prepare(
          `SELECT trouble FROM notice WHERE channel = ? AND tried_at IS NOT NULL
           ORDER BY tried_at DESC, id DESC LIMIT 1`,
        )
        .pluck(),
      subscriptions: db.prepare('SELECT * FROM subscription ORDER BY phone'),
      subscribe: db.prepare(
        `INSERT OR REPLACE INTO subscription (phone, endpoint, p256dh, auth, wishes)
         SELECT @phone, @endpoint, @p256dh, @auth, @wishes
         WHERE EXISTS (SELECT 1 FROM phone WHERE id = @phone)`,
      ),
      unsubscribe: db.prepare('DELETE FROM subscription WHERE phone = ?'),
      dropOfPhone: db.prepare("DELETE FROM notice WHERE channel = 'push' AND target = ?"),
    };
  }

  /** null for a tub that was forgotten meanwhile. */
  add({ about, message, ...notice }: NewNotice): Notice | null {
    if (!this.sql.isHeard.get(notice.tub)) return null;
    const texts = { about: JSON.stringify(about), message: JSON.stringify(message) };
    const { lastInsertRowid } = this.sql.add.run({ ...notice, ...texts });
    return { ...notice, about, message, id: Number(lastInsertRowid), tries: 0 };
  }

  told(tub: string): ToldNotice[] {
    return (this.sql.told.all(tub) as ToldRow[]).map(({ made_at, due, sent_at, ...row }) => ({
      ...row,
      about: JSON.parse(row.about),
      madeAt: made_at,
      came: sent_at !== null ? 'yes' : due !== null ? 'waits' : 'no',
    }));
  }

  due(at: number): Notice[] {
    return (this.sql.due.all(at) as NoticeRow[]).map((row) => ({
      id: row.id,
      tub: row.tub,
      channel: row.channel,
      target: row.target,
      about: JSON.parse(row.about),
      message: JSON.parse(row.message),
      madeAt: row.made_at,
      tries: row.tries,
    }));
  }

  tried(id: number, tried: Tried): void {
    this.sql.tried.run({ id, ...tried });
  }

  drop(id: number): void {
    this.sql.drop.run(id);
  }

  dropOld(before: number): void {
    this.sql.dropOld.run(before);
  }

  record(channel: ChannelName): ChannelRecord {
    const { sentAt, waiting } = this.sql.record.get(channel) as Omit<ChannelRecord, 'trouble'>;
    const trouble = (this.sql.lastTrouble.get(channel) as string | null | undefined) ?? null;
    return { sentAt, waiting, trouble };
  }

  subscriptions(): Subscription[] {
    return (this.sql.subscriptions.all() as SubscriptionRow[]).map(({ wishes, ...row }) => ({
      ...row,
      wishes: JSON.parse(wishes),
    }));
  }

  subscribe({ wishes, ...subscription }: Subscription): boolean {
    return this.sql.subscribe.run({ ...subscription, wishes: JSON.stringify(wishes) }).changes > 0;
  }

  unsubscribe(phone: string): boolean {
    this.sql.dropOfPhone.run(phone);
    return this.sql.unsubscribe.run(phone).changes > 0;
  }

  forgetTub(tub: string): void {
    this.sql.forgetTub.run(tub);
  }
}

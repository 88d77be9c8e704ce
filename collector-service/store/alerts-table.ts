import type { AlertRecord } from '../../model/alerts/alert-life.ts';
import type { DayFacts } from '../../model/alerts/rounds.ts';
import type { FaultId } from '../../model/rules/fault-id.ts';
import type { Severity } from '../../model/shapes.ts';
import type { Db } from './database.ts';
import type { KeptAlert, RoundsKept, RoundsLeft, Shelf } from './store.ts';

interface AlertRow {
  id: string;
  fault: FaultId;
  point: string | null;
  severity: Severity;
  since: number;
  raised_at: number;
  until: number | null;
  unknown_since: number | null;
  cost_kwh: number | null;
  evidence: string;
  setup_id: number | null;
  acknowledged_at: number | null;
  dismissed_at: number | null;
}

/** Alerts, what people did with them, and what rules keep of days. */
export class AlertsTable {
  private readonly sql;

  constructor(db: Db) {
    this.sql = {
      isHeard: db.prepare('SELECT 1 FROM tub WHERE name = ?'),
      alerts: db.prepare('SELECT * FROM alert WHERE tub = ? ORDER BY raised_at DESC, id'),
      alert: db.prepare('SELECT * FROM alert WHERE tub = ? AND id = ?'),
      open: db.prepare(
        'SELECT * FROM alert WHERE tub = ? AND until IS NULL ORDER BY raised_at DESC, id',
      ),
      since: db.prepare(
        `SELECT * FROM alert WHERE tub = @tub
           AND (until IS NULL OR until >= @since OR dismissed_at >= @since)
         ORDER BY raised_at DESC, id`,
      ),
      // who has seen the lesser has not seen the worse; severity only ever grows
      put: db.prepare(
        `INSERT INTO alert (tub, id, fault, point, severity, since, raised_at, until, unknown_since,
           cost_kwh, evidence, setup_id)
         VALUES (@tub, @id, @fault, @point, @severity, @since, @raisedAt, @until, @unknownSince,
           @costKwh, @evidence, @setupId)
         ON CONFLICT (tub, id) DO UPDATE SET severity = excluded.severity, until = excluded.until,
           unknown_since = excluded.unknown_since, cost_kwh = excluded.cost_kwh,
           evidence = excluded.evidence,
           acknowledged_at = CASE WHEN excluded.severity = severity THEN acknowledged_at END,
           dismissed_at = CASE WHEN excluded.severity = severity THEN dismissed_at END`,
      ),
      acknowledge: db.prepare(
        `UPDATE alert SET acknowledged_at = @at
         WHERE tub = @tub AND id = @id AND acknowledged_at IS NULL`,
      ),
      dismiss: db.prepare(
        `UPDATE alert SET dismissed_at = @at
         WHERE tub = @tub AND id = @id AND dismissed_at IS NULL AND until IS NULL`,
      ),
      shelves: db.prepare('SELECT fault, point, until FROM shelf WHERE tub = ?'),
      shelve: db.prepare(
        'INSERT OR REPLACE INTO shelf (tub, fault, point, until) VALUES (@tub, @fault, @point, @until)',
      ),
      facts: db.prepare('SELECT facts FROM day_facts WHERE tub = ? ORDER BY date'),
      putFacts: db.prepare(
        'INSERT OR REPLACE INTO day_facts (tub, date, facts) VALUES (@tub, @date, @facts)',
      ),
      dropFacts: db.prepare('DELETE FROM day_facts WHERE tub = @tub AND date < @date'),
      to: db.prepare('SELECT to_t, left_off FROM rounds WHERE tub = ?'),
      putTo: db.prepare('INSERT OR REPLACE INTO rounds (tub, to_t, left_off) VALUES (?, ?, ?)'),
      forget: ['alert', 'shelf', 'day_facts', 'rounds'].map((table) =>
        db.prepare(`DELETE FROM ${table} WHERE tub = ?`),
      ),
    };
  }

  alerts(tub: string, open: boolean): KeptAlert[] {
    return ((open ? this.sql.open : this.sql.alerts).all(tub) as AlertRow[]).map(alertOf);
  }

  alert(tub: string, id: string): KeptAlert | null {
    const row = this.sql.alert.get(tub, id) as AlertRow | undefined;
    return row ? alertOf(row) : null;
  }

  alertsSince(tub: string, since: number): KeptAlert[] {
    return (this.sql.since.all({ tub, since }) as AlertRow[]).map(alertOf);
  }

  acknowledge(tub: string, id: string, at: number): void {
    this.sql.acknowledge.run({ tub, id, at });
  }

  dismiss(tub: string, id: string, at: number): void {
    this.sql.dismiss.run({ tub, id, at });
  }

  shelves(tub: string): Shelf[] {
    const rows = this.sql.shelves.all(tub) as { fault: FaultId; point: string; until: number }[];
    return rows.map(({ point, ...row }) => ({ ...row, point: point === '' ? null : point }));
  }

  shelve(tub: string, { fault, point, until }: Shelf): void {
    this.sql.shelve.run({ tub, fault, point: point ?? '', until });
  }

  rounds(tub: string): { days: DayFacts[]; to: number | null; left: RoundsLeft | null } {
    const rows = this.sql.facts.all(tub) as { facts: string }[];
    const row = this.sql.to.get(tub) as { to_t: number; left_off: string | null } | undefined;
    return {
      days: rows.map(({ facts }) => JSON.parse(facts)),
      to: row?.to_t ?? null,
      left: row?.left_off ? JSON.parse(row.left_off) : null,
    };
  }

  putRounds(tub: string, { alerts, setupId, days, to, dropBefore, left }: RoundsKept): void {
    if (!this.sql.isHeard.get(tub)) return;
    for (const alert of alerts) {
      const evidence = JSON.stringify(alert.evidence);
      this.sql.put.run({ tub, ...columnsOf(alert), evidence, setupId });
    }
    for (const day of days) {
      this.sql.putFacts.run({ tub, date: day.date, facts: JSON.stringify(day) });
    }
    if (dropBefore !== null) this.sql.dropFacts.run({ tub, date: dropBefore });
    this.sql.putTo.run(tub, to, left ? JSON.stringify(left) : null);
  }

  forgetTub(tub: string): void {
    for (const sql of this.sql.forget) sql.run(tub);
  }
}

const columnsOf = ({ id, fault, point, severity, since, ...alert }: AlertRecord) => ({
  id,
  fault,
  point,
  severity,
  since,
  raisedAt: alert.raisedAt,
  until: alert.until,
  unknownSince: alert.unknownSince,
  costKwh: alert.costKwh,
});

const alertOf = (row: AlertRow): KeptAlert => ({
  id: row.id,
  fault: row.fault,
  point: row.point,
  severity: row.severity,
  since: row.since,
  raisedAt: row.raised_at,
  until: row.until,
  unknownSince: row.unknown_since,
  costKwh: row.cost_kwh,
  evidence: JSON.parse(row.evidence),
  acknowledgedAt: row.acknowledged_at,
  dismissedAt: row.dismissed_at,
});

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';

/** A table like the store's with nothing around it, as durable: WAL, synchronous = FULL. */
export class BareSqlite {
  private readonly folder = mkdtempSync(join(tmpdir(), 'sunsteep-bare-'));
  private readonly db = new Database(join(this.folder, 'bare.db'));
  private readonly insert;
  private t = 0;

  constructor() {
    this.db.pragma('journal_mode = WAL');
    this.db.pragma('synchronous = FULL');
    this.db.exec(
      `CREATE TABLE reading (series INTEGER NOT NULL, t INTEGER NOT NULL, value REAL NOT NULL,
         PRIMARY KEY (series, t)) WITHOUT ROWID`,
    );
    this.insert = this.db.prepare('INSERT INTO reading (series, t, value) VALUES (?, ?, ?)');
  }

  /** Inserts in transactions of so many rows for about so long [ms]; returns rows a second. */
  rate(rowsATransaction: number, forMs: number): number {
    const batch = this.db.transaction(() => {
      for (let row = 0; row < rowsATransaction; row++) this.insertNext();
    });
    const start = performance.now();
    let rows = 0;
    while (performance.now() - start < forMs) {
      batch.immediate();
      rows += rowsATransaction;
    }
    return (rows * 1000) / (performance.now() - start);
  }

  /** Twelve series in turn, ten seconds on after each round of them. */
  private insertNext(): void {
    const n = this.t++;
    this.insert.run(n % 12, Math.floor(n / 12) * 10_000, 20 + (n % 97) / 16);
  }

  end(): void {
    this.db.close();
    rmSync(this.folder, { recursive: true, force: true });
  }
}

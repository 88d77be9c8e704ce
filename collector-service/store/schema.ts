/**
 * The store's schema as numbered steps: step n leads from version n to version n + 1. A step that
 * has shipped is never changed; what comes later is a new step.
 */
export const migrations: readonly string[] = [
  `
  CREATE TABLE note (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;

  CREATE TABLE tub (name TEXT PRIMARY KEY, arrived_at INTEGER NOT NULL) WITHOUT ROWID;
  -- No id of a series or a mark comes twice: whoever still holds an old one finds nothing by it.
  CREATE TABLE series (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    tub TEXT NOT NULL,
    point TEXT NOT NULL,
    UNIQUE (tub, point)
  );
  -- Series of forgotten tubs whose readings are still to be removed.
  CREATE TABLE forgotten (series INTEGER PRIMARY KEY);
  CREATE TABLE reading (
    series INTEGER NOT NULL,
    t INTEGER NOT NULL,
    value REAL NOT NULL,
    PRIMARY KEY (series, t)
  ) WITHOUT ROWID;
  CREATE TABLE rollup (
    series INTEGER NOT NULL,
    quarter INTEGER NOT NULL,
    n INTEGER NOT NULL,
    low REAL NOT NULL,
    sum REAL NOT NULL,
    high REAL NOT NULL,
    PRIMARY KEY (series, quarter)
  ) WITHOUT ROWID;

  CREATE TABLE dirty (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    tub TEXT NOT NULL,
    point TEXT,
    from_t INTEGER NOT NULL,
    to_t INTEGER NOT NULL,
    touched INTEGER NOT NULL DEFAULT 1
  );
  CREATE INDEX dirty_point ON dirty (tub, point);
  CREATE TABLE ledger (
    tub TEXT NOT NULL,
    quarter INTEGER NOT NULL,
    gainKwh REAL, lostKwh REAL, measuredKwh REAL, basis TEXT, coveredMs INTEGER NOT NULL,
    flowUncertaintyKwh REAL NOT NULL, pairUncertaintyKwh REAL NOT NULL,
    lossUncertaintyKwh REAL NOT NULL, litres REAL,
    driveKwhMinPerL REAL, driveMs INTEGER NOT NULL, standingKwhPerL REAL NOT NULL,
    collectorC REAL, airC REAL, sunKwhPerM2 REAL,
    backupKwh REAL, coverOpenMs INTEGER, filterOnMs INTEGER,
    pumpOnMs INTEGER NOT NULL, pumpKnownMs INTEGER NOT NULL, pumpKwh REAL,
    tubC REAL, tubLowC REAL, tubHighC REAL,
    PRIMARY KEY (tub, quarter)
  ) WITHOUT ROWID;

  CREATE TABLE day (
    tub TEXT NOT NULL,
    date TEXT NOT NULL,
    figures TEXT NOT NULL,
    PRIMARY KEY (tub, date)
  ) WITHOUT ROWID;

  CREATE TABLE setup (
    id INTEGER PRIMARY KEY,
    from_t INTEGER,
    made_at INTEGER NOT NULL,
    document TEXT NOT NULL
  );
  CREATE TABLE unreadable (
    topic TEXT NOT NULL,
    why TEXT NOT NULL,
    payload TEXT NOT NULL,
    count INTEGER NOT NULL,
    first INTEGER NOT NULL,
    last INTEGER NOT NULL,
    PRIMARY KEY (topic, why)
  ) WITHOUT ROWID;
  CREATE INDEX unreadable_last ON unreadable (last);

  CREATE TABLE phone (
    id TEXT PRIMARY KEY,
    cookie_hash TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    rights TEXT NOT NULL,
    tubs TEXT,
    until INTEGER,
    paired_at INTEGER NOT NULL,
    seen_at INTEGER
  ) WITHOUT ROWID;
  CREATE TABLE link (
    id TEXT PRIMARY KEY,
    code_hash TEXT NOT NULL UNIQUE,
    rights TEXT NOT NULL,
    tubs TEXT,
    until INTEGER,
    expires INTEGER NOT NULL
  ) WITHOUT ROWID;
  `,
  `
  CREATE TABLE log (
    tub TEXT NOT NULL,
    id TEXT NOT NULL,
    kind TEXT NOT NULL,
    from_t INTEGER NOT NULL,
    until_t INTEGER,
    data TEXT,
    note TEXT,
    made_at INTEGER NOT NULL,
    PRIMARY KEY (tub, id)
  ) WITHOUT ROWID;
  -- What is kept of days has changed its shape: all of it is worked out again.
  DELETE FROM day;
  INSERT INTO dirty (tub, from_t, to_t) SELECT tub, MIN(quarter), MAX(quarter) + 899999
    FROM ledger GROUP BY tub;
  `,
  `
  CREATE TABLE alert (
    tub TEXT NOT NULL,
    id TEXT NOT NULL,
    fault TEXT NOT NULL,
    point TEXT,
    severity TEXT NOT NULL,
    since INTEGER NOT NULL,
    raised_at INTEGER NOT NULL,
    until INTEGER,
    unknown_since INTEGER,
    cost_kwh REAL,
    evidence TEXT NOT NULL,
    setup_id INTEGER,
    acknowledged_at INTEGER,
    dismissed_at INTEGER,
    PRIMARY KEY (tub, id)
  ) WITHOUT ROWID;
  CREATE INDEX alert_open ON alert (tub) WHERE until IS NULL;
  -- A fault that people want to hear nothing of for a while, also when it comes again; point '': none.
  CREATE TABLE shelf (
    tub TEXT NOT NULL,
    fault TEXT NOT NULL,
    point TEXT NOT NULL,
    until INTEGER NOT NULL,
    PRIMARY KEY (tub, fault, point)
  ) WITHOUT ROWID;
  CREATE TABLE day_facts (
    tub TEXT NOT NULL,
    date TEXT NOT NULL,
    facts TEXT NOT NULL,
    PRIMARY KEY (tub, date)
  ) WITHOUT ROWID;
  CREATE TABLE rounds (tub TEXT PRIMARY KEY, to_t INTEGER NOT NULL) WITHOUT ROWID;

  -- No id comes twice: receivers know by it what came twice.
  CREATE TABLE notice (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    tub TEXT NOT NULL,
    channel TEXT NOT NULL,
    target TEXT NOT NULL,
    about TEXT NOT NULL,
    message TEXT NOT NULL,
    made_at INTEGER NOT NULL,
    due INTEGER,
    tries INTEGER NOT NULL,
    tried_at INTEGER,
    sent_at INTEGER,
    trouble TEXT
  );
  CREATE INDEX notice_tub ON notice (tub);
  CREATE INDEX notice_due ON notice (due) WHERE due IS NOT NULL;
  CREATE INDEX notice_channel ON notice (channel, tried_at);
  CREATE TABLE subscription (
    phone TEXT PRIMARY KEY,
    endpoint TEXT NOT NULL UNIQUE,
    p256dh TEXT NOT NULL,
    auth TEXT NOT NULL,
    wishes TEXT NOT NULL
  ) WITHOUT ROWID;
  `,
  `
  -- How faults show themselves, and what is still to be gone through again.
  ALTER TABLE rounds ADD COLUMN left_off TEXT;
  `,
  `
  -- What is kept of days has changed its shape: all of it is worked out again.
  DELETE FROM day;
  INSERT INTO dirty (tub, from_t, to_t) SELECT tub, MIN(quarter), MAX(quarter) + 899999
    FROM ledger GROUP BY tub;
  `,
  `
  -- Days keep what faults spoil of them, and when the tub was heard last: all is worked out again.
  DELETE FROM day;
  INSERT INTO dirty (tub, from_t, to_t) SELECT tub, MIN(quarter), MAX(quarter) + 899999
    FROM ledger GROUP BY tub;
  `,
];

/** Marks the file as ours: "SunS" as an SQLite application id. */
export const APPLICATION_ID = 0x53756e53;

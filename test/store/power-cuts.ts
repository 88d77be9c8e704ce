import { join } from 'node:path';
import { openDatabase, STORE_FILE } from '../../collector-service/store/database.ts';
import { storeOn } from '../../collector-service/store/sqlite-store.ts';
import { Aftermath, type Lived } from './aftermath.ts';
import { type Chance, type Cut, cutBetween, type Files, filesOf, lay } from './crash-image.ts';
import { quickFolder } from './folders.ts';
import { Living, livesOf } from './life.ts';
import { watched } from './watched.ts';

const cuts: readonly Cut[] = [
  'while the log was written',
  'while the log was copied into the file',
];
/** So many pages of log are copied into the file: few, so that it happens often. */
const COPIED_AT_PAGES = 40;
const READINGS_IN_A_MESSAGE = 12;

/** The files before and after one transaction, and what had been asked of the store by then. */
interface Commit {
  before: Files;
  after: Files;
  lived: Lived;
}

export interface CutsTold {
  cuts: number;
  /** In how many of them what was under way was there. */
  whole: number;
}

/**
 * Cuts the power at every transaction of a life that is drawn by chance, those of the work on the ledger
 * too, and opens what is left each time.
 */
export async function cutPower(chance: Chance, most = Number.POSITIVE_INFINITY): Promise<CutsTold> {
  const { folder, remove } = quickFolder();
  const aftermath = new Aftermath();
  const told: CutsTold = { cuts: 0, whole: 0 };
  try {
    for (const { before, after, lived } of await commitsOf(join(folder, 'running'), chance)) {
      for (const cut of cuts) {
        if (told.cuts >= most) return told;
        lay(cutBetween(before, after, cut, chance), join(folder, 'found'));
        if (await aftermath.judge(join(folder, 'found'), lived)) told.whole++;
        told.cuts++;
      }
    }
    return told;
  } finally {
    remove();
  }
}

async function commitsOf(running: string, chance: Chance): Promise<Commit[]> {
  const commits: Commit[] = [];
  const db = openDatabase(running);
  db.pragma(`wal_autocheckpoint = ${COPIED_AT_PAGES}`);
  let before = filesOf(running);
  const noted = watched(db, (sql) => {
    if (sql !== 'COMMITTED') return;
    const after = filesOf(running);
    const { acknowledged, begun, underWay } = living;
    commits.push({
      before,
      after,
      lived: { acknowledged: [...acknowledged], begun: [...begun], underWay },
    });
    before = after;
  });
  const living = new Living(storeOn(noted, join(running, STORE_FILE)));
  try {
    await living.start();
    for (const act of livesOf(chance, READINGS_IN_A_MESSAGE)) await living.do(act);
    await living.stop();
    return commits;
  } finally {
    db.close();
  }
}

import { join } from 'node:path';
import Database from 'better-sqlite3';
import { openDatabase, STORE_FILE } from '../../collector-service/store/database.ts';
import { storeOn } from '../../collector-service/store/sqlite-store.ts';
import { Aftermath } from './aftermath.ts';
import { filesOf, lay } from './crash-image.ts';
import { quickFolder } from './folders.ts';
import { type Act, Living } from './life.ts';
import { watched } from './watched.ts';

/** How a step fails: alone, and what comes after works again, or with all that would come after it. */
export type Failure = 'once' | 'for good';

const codes = ['SQLITE_IOERR_WRITE', 'SQLITE_FULL', 'SQLITE_IOERR_FSYNC'] as const;

/** Lives a life again and again, and each time lets another of its steps on the database fail. */
export class FailingSteps {
  private readonly acts: readonly Act[];
  private readonly aftermath = new Aftermath();

  constructor(acts: readonly Act[]) {
    this.acts = acts;
  }

  /**
   * Lives with step number `failing` (from 1) failing, and judges what is left.
   *
   * @returns false where life has no such step
   */
  async try(failing: number, failure: Failure): Promise<boolean> {
    const { folder, remove } = quickFolder();
    const running = join(folder, 'running');
    let step = 0;
    let isOver = false;
    const db = watched(openDatabase(running), () => {
      if (isOver) return;
      step++;
      if (failure === 'once' ? step === failing : step >= failing) {
        throw new Database.SqliteError('disk I/O error', codes[failing % codes.length]!);
      }
    });
    const store = storeOn(db, join(running, STORE_FILE));
    const living = new Living(store);
    try {
      await this.live(living, failure);
      if (failure === 'once') {
        await living.settled();
        isOver = true;
        await living.settled(); // the step may have failed just now
        await this.aftermath.judgeWork(store, living);
      }
      isOver = true;
      lay(filesOf(running), join(folder, 'found')); // as a kill leaves it
      await living.stop();
      await this.aftermath.judge(join(folder, 'found'), living);
      return step >= failing;
    } finally {
      db.close();
      remove();
    }
  }

  /** What fails once is done again, as a board sends again what was not acknowledged. */
  private async live(living: Living, failure: Failure): Promise<void> {
    const all = [() => living.start(), ...this.acts.map((act) => () => living.do(act))];
    for (const act of all) {
      try {
        await act();
      } catch {
        if (failure === 'for good') return;
        await act();
      }
    }
  }
}

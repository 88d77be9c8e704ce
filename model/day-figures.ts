import type { Evidence } from './evidence.ts';
import type { Expected } from './expected.ts';
import type { Learned } from './learned.ts';
import type { Saved } from './saved.ts';
import type { Spoilt } from './spoilt.ts';
import type { BackupSeen } from './thermostat.ts';

/** What is worked out of a whole local day, beside the sums of its quarters. */
export interface DayFigures {
  date: string;
  /** null for the day under way: it is evidence once it is over. */
  evidence: Evidence | null;
  learned: Learned;
  expected: Expected;
  /** The tubs at the end of the day before, from which this one went on. */
  before: TubsAtMidnight | null;
  /** What faults spoil of the day, as far as they were told by now. */
  spoilt: Spoilt[];
  saved: Saved | null;
  after: TubsAtMidnight | null;
}

/** The real tub and the reference tub, which the backup alone heats [°C]. */
export interface TubsAtMidnight {
  tubC: number;
  /** Up to when the real one was heard [ms]; null: up to midnight. */
  heardTo: number | null;
  referenceC: number;
  /** Whether the reference tub's backup is on its way to its upper switching point. */
  heats: boolean;
  /** What the last days told of the real backup, the newest last. */
  seen: BackupSeen[];
}

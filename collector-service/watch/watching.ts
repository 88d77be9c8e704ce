import type { LearnedDay } from '../../model/learned-since.ts';
import type { LogEntry, NewLogEntry } from '../../model/owner-log.ts';
import type { Setup } from '../../model/setup.ts';
import type { Alert, Day, DayWithQuarters, Evening, Month, Now } from '../../model/shapes.ts';

/** What the rest of the service may ask of the part that works things out. */
export interface Watching {
  /** The set-up in force and its ETag; an empty document and '"0"' before the first. */
  setup(): { setup: Setup; etag: string };
  /**
   * Adds a version that holds from `from` (−Infinity: always); refused with SUNSTEEP_SETUP_CHANGED
   * where `ifMatch` names another version than the newest.
   */
  putSetup(setup: Setup, from: number, ifMatch?: string): Promise<{ setup: Setup; etag: string }>;
  /** The local dates of each tub that would change if `setup` held from `from`; changes nothing. */
  previewSetup(setup: Setup, from: number): Promise<{ tub: string; dates: string[] }[]>;

  /** The owner's log of a tub, the newest of what it tells first. */
  log(tub: string): Promise<LogEntry[]>;
  /** Adds an entry; what it changes of the past is worked out again in the background. */
  addLog(tub: string, said: NewLogEntry): Promise<LogEntry>;
  /** Removes an entry, and with it what it changed; false where there is none. */
  removeLog(tub: string, id: string): Promise<boolean>;

  /** Tubs that were heard or set up, with the name that people gave. */
  tubs(): Promise<{ id: string; name: string; setUp: boolean }[]>;
  /** null for a tub that was neither heard nor set up. */
  now(tub: string): Promise<Now | null>;
  /** Days with data between two local dates, both included; null for an unknown tub. */
  days(tub: string, from?: string, to?: string): Promise<Day[] | null>;
  day(tub: string, date: string): Promise<DayWithQuarters | null>;
  months(tub: string, from?: string, to?: string): Promise<Month[] | null>;

  /** How warm the tub will be in the evening; null for an unknown tub. */
  evening(tub: string): Promise<Evening | null>;
  /** What is learned of each day of a tub, in no order; before the first, what is worked with instead. */
  learned(tub: string): LearnedDay[];
  /** Alerts, the newest raised first; `open`: those alone that stand. null for an unknown tub. */
  alerts(tub: string, open: boolean): Promise<Alert[] | null>;
  /** What people do with an alert, and the alert after it; null where there is none of that id. */
  acknowledge(tub: string, id: string): Promise<Alert | null>;
  /** @param until  up to when nothing is told of the fault and its point [ms] */
  shelve(tub: string, id: string, until: number): Promise<Alert | null>;
  /** @param why  in the owner's words; goes to the log */
  notAFault(tub: string, id: string, why: string): Promise<Alert | null>;
  /** Called with each alert that is raised, ends, grows worse or is handled. Returns what ends it. */
  onAlert(hear: (alert: Alert) => void): () => void;

  /** Resolves once everything that is marked as changed has been worked out. */
  settled(): Promise<void>;
  /** Called when a tub has news; at most once a second for each tub. Returns a function that ends it. */
  onNews(hear: (news: { tub: string; now: Now; days: Day[] }) => void): () => void;
}

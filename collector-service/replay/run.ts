import { dayBounds, instantOf, localDate } from '../../model/civil-time.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import { learnedShape } from '../../model/learned-since.ts';
import { ledgerPoints, type Quarter, reach, workOut } from '../../model/ledger.ts';
import type { LogEntry } from '../../model/owner-log.ts';
import { withLog } from '../../model/owner-log-settings.ts';
import { firstAtOrAfter, HOUR, QUARTER, quarterOf, type Trace } from '../../model/readings.ts';
import type { Setup } from '../../model/setup.ts';
import type { Alert, Day, LearnedShape, Month, ToldEvening } from '../../model/shapes.ts';
import { spoiltBy } from '../../model/spoilt.ts';
import { type SettingsVersion, tubSettings } from '../../model/tub-settings.ts';
import { Calendar } from '../watch/calendar.ts';
import { type Around, DayWork, nothingAround } from '../watch/day-work.ts';
import { type EveningLook, type EveningSource, lookAhead } from '../watch/evening-book.ts';
import type { Logs } from '../watch/setup-book.ts';
import { judgedAlerts, toldAlerts } from './alerts.ts';
import type { Recorded } from './recorded.ts';

/** What replaying brought for one tub. */
export interface Replayed {
  days: (Day & { evening?: ToldEvening })[];
  months: Month[];
  alerts: Alert[];
  /** As it stands for the newest day; null where there is no day. */
  learned: LearnedShape | null;
}

/** Part of a longer story: what is known of a tub beside the readings of some of its days. */
export interface Excerpt extends Around {
  versions: readonly SettingsVersion[];
  /** The local dates that are told, both included; readings around them are there to warm up with. */
  from: string;
  to: string;
  /** The tub's newest reading, of any point and of those that heat is worked out from [ms]. */
  heardAt: number;
  countedTo: number;
  /** When the story ends [ms]. */
  until: number;
}

/** How much is worked out in one go, for the sake of memory alone. */
const SLICE_MS = 24 * HOUR;

/** Runs recorded readings through the same ledger as the live service, on the readings' own clock. */
export async function replayed(
  setup: Setup,
  recorded: Recorded,
  evening: string | null = null,
  logs: Logs = new Map(),
  excerpt: Excerpt | null = null,
): Promise<Map<string, Replayed>> {
  const tubs = new Map<string, Replayed>();
  const ends = setup.tubs.map(({ id }) => spanOf(recorded.traces(id))?.to ?? 0);
  // Time goes on for a tub that is silent as long as another one is heard.
  const end = Math.max(...ends);
  for (const said of setup.tubs) {
    const always = [{ from: Number.NEGATIVE_INFINITY, settings: tubSettings(said) }];
    const log = logs.get(said.id) ?? [];
    const versions = excerpt?.versions ?? withLog(always, log);
    const traces = recorded.traces(said.id);
    tubs.set(said.id, await replayedTub(said.id, versions, traces, evening, end, log, excerpt));
  }
  return tubs;
}

async function replayedTub(
  tub: string,
  versions: readonly SettingsVersion[],
  traces: ReadonlyMap<string, Trace>,
  evening: string | null,
  end: number,
  log: readonly LogEntry[],
  excerpt: Excerpt | null,
): Promise<Replayed> {
  const span = spanOf(traces);
  if (!span) return { days: [], months: [], alerts: [], learned: null };
  const ledger = ledgerOf(versions, traces, span, excerpt);
  const quarters = async (from: number, to: number) =>
    ledger.slice(firstFrom(ledger, from), firstFrom(ledger, to));
  const zone = versions.at(-1)!.settings.place.timeZone;
  const present = excerpt?.heardAt ?? span.to;
  const isTold = (date: string) => !excerpt || (date >= excerpt.from && date <= excerpt.to);
  const dates = [...new Set(ledger.map((row) => localDate(row.from, zone)))].filter(
    (date) => date <= localDate(present, zone) && isTold(date),
  );
  // A tub of which nothing but, say, the pump's voltage was heard has no days.
  if (dates.length === 0) return { days: [], months: [], alerts: [], learned: null };
  const figures = new Map<string, DayFigures>();
  const source = {
    quarters,
    traces: async (points: readonly string[], from: number, to: number) =>
      new Map(
        points
          .filter((point) => traces.has(point))
          .map((point) => [point, cut(traces.get(point)!, from, to, 0)]),
      ),
  };
  const around = excerpt ?? nothingAround;
  await new DayWork(figures, source, versions, present, around).run(dates, new Set(dates));
  const rows = { quarters, figures: (date: string) => figures.get(date) ?? null };
  const alerts = await judgedAlerts(versions, traces, rows, { from: span.from, to: end }, log);
  if (!excerpt) {
    const judged = { ...around, spoilt: spoiltBy(alerts) };
    await new DayWork(figures, source, versions, present, judged).run(dates, new Set());
  }
  const told = {
    ...rows,
    quarters: async (from: number, to: number) =>
      (await quarters(from, to)).filter((row) => isTold(localDate(row.from, zone))),
  };
  // Days as finally known: but in an excerpt the last one too is over.
  const calendar = new Calendar(versions, told, excerpt?.until ?? Number.POSITIVE_INFINITY);
  const [first, last] = [dates[0]!, dates.at(-1)!];
  return {
    days: await withEvenings(await calendar.days(first, last), rows, versions, evening),
    months: await calendar.months(first.slice(0, 7), last.slice(0, 7)),
    alerts: toldAlerts(tub, alerts, versions),
    learned: learnedShape([...figures.values()], zone),
  };
}

/** Each day with the look ahead that would have been told at a local time, where one could be. */
async function withEvenings(
  days: Day[],
  rows: EveningSource,
  versions: readonly SettingsVersion[],
  evening: string | null,
): Promise<Replayed['days']> {
  if (evening === null) return days;
  const zone = versions.at(-1)!.settings.place.timeZone;
  const told: Replayed['days'] = [];
  for (const day of days) {
    const toldAt = instantOf(day.date, evening, zone);
    const look = await lookAhead(rows, versions, toldAt);
    told.push(look ? { ...day, evening: toldEvening(toldAt, look) } : day);
  }
  return told;
}

const toldEvening = (toldAt: number, { today, foreseen }: EveningLook): ToldEvening => ({
  toldAt: new Date(toldAt).toISOString(),
  at: new Date(today.at).toISOString(),
  lowC: foreseen.lowC,
  highC: foreseen.highC,
});

/** Index of the first row at or after an instant. */
function firstFrom(ledger: readonly Quarter[], t: number): number {
  let [low, high] = [0, ledger.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (ledger[middle]!.from < t) low = middle + 1;
    else high = middle;
  }
  return low;
}

function ledgerOf(
  versions: readonly SettingsVersion[],
  traces: ReadonlyMap<string, Trace>,
  span: { from: number; to: number },
  excerpt: Excerpt | null,
): Quarter[] {
  const points = ledgerPoints.filter((point) => traces.has(point));
  const { beforeMs, afterMs, nearestMs } = reach(versions[0]!.settings, points);
  const last = Math.max(...points.map((point) => traces.get(point)!.t.at(-1)!));
  const newest = excerpt?.countedTo ?? last;
  // A state may hold for days after the last reading of an excerpt.
  const until = excerpt ? Math.max(last, Math.min(newest, endOf(excerpt) - 1)) : last;
  const end = quarterOf(until) + QUARTER;
  const ledger: Quarter[] = [];
  for (let from = quarterOf(span.from); from < end; from += SLICE_MS) {
    const to = Math.min(from + SLICE_MS, end);
    const around = new Map(
      points.map((point) => [
        point,
        cut(traces.get(point)!, from - beforeMs(point), to + afterMs, nearestMs(point)),
      ]),
    );
    ledger.push(...workOut(versions, around, from, to, newest));
  }
  return ledger;
}

/** The first instant after the days that are told. */
const endOf = ({ to, versions }: Excerpt): number =>
  dayBounds(to, versions.at(-1)!.settings.place.timeZone).to;

/** The part of a trace with from ≤ t < to, and the nearest reading before within `nearestMs`. */
function cut({ t, v }: Trace, from: number, to: number, nearestMs: number): Trace {
  let start = firstAtOrAfter(t, from);
  const end = firstAtOrAfter(t, to);
  if (nearestMs > 0 && start > 0 && t[start - 1]! >= from - nearestMs) start--;
  return { t: t.subarray(start, end), v: v.subarray(start, end) };
}

function spanOf(traces: ReadonlyMap<string, Trace>): { from: number; to: number } | null {
  let [from, to] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const { t } of traces.values()) {
    from = Math.min(from, t[0] ?? from);
    to = Math.max(to, t.at(-1) ?? to);
  }
  return from <= to ? { from, to } : null;
}

import { addDays, dayBounds } from '../../model/civil-time.ts';
import type { DayFigures, TubsAtMidnight } from '../../model/day-figures.ts';
import type { Evidence } from '../../model/evidence.ts';
import { LEARNS_FROM } from '../../model/learned.ts';
import { ledgerPoints, reach } from '../../model/ledger.ts';
import type { LogEntry, LogKind } from '../../model/owner-log.ts';
import { HOUR } from '../../model/readings.ts';
import type { Setup, TubSetup } from '../../model/setup.ts';
import type { Alert, Day } from '../../model/shapes.ts';
import type { Spoilt } from '../../model/spoilt.ts';
import type { SettingsVersion, TubSettings } from '../../model/tub-settings.ts';
import { SunsteepError } from '../errors.ts';
import type { SetupVersion, Store } from '../store/store.ts';
import { AlertDesk } from '../watch/alert-desk.ts';
import { Calendar } from '../watch/calendar.ts';
import { SetupBook } from '../watch/setup-book.ts';
import { type About, FORMAT, FORMAT_VERSION } from './known.ts';

/** What somebody is given who is to help with a tub, but for the readings, which are too many to hold. */
export interface Contents {
  about: About;
  /** The days' first instant and the first after them. */
  span: { from: number; to: number };
  readings: { from: number; to: number };
  setup: Setup;
  /** Every set-up of the tub that was made, of this tub alone. */
  versions: { from: string | null; madeAt: string; setup: Setup }[];
  /** As in force at the end of the days. */
  settings: TubSettings;
  said: TubSetup;
  /** What settings are to be worked with, wholly; remarks only of the days themselves. */
  log: LogEntry[];
  alerts: Alert[];
  days: Day[];
  known: { before: TubsAtMidnight | null; evidence: Evidence[]; spoilt: Spoilt[] };
  points: string[];
}

/** The most days at a time: three months of a full kit are 15 million rows. */
export const MOST_DAYS = 92;
/** Days of readings before the first one, for rules and pumps that were running already. */
const WARM_UP_DAYS = 2;
/** A day's night begins on the day before. */
const NIGHT_MS = 12 * HOUR;

const DAY = 24 * HOUR;
const iso = (t: number) => new Date(t).toISOString();
const isoOrNull = (t: number | null) => (t === null || !Number.isFinite(t) ? null : iso(t));

/**
 * @param from  first local date, and `to` the last
 * @throws SunsteepError SUNSTEEP_NOT_FOUND for a tub that is not set up
 */
export async function contentsOf(
  store: Store,
  tub: string,
  from: string,
  to: string,
  madeAt: number,
): Promise<Contents> {
  const made = await store.setupVersions();
  const log = await store.logEntries(tub);
  const book = new SetupBook(made, new Map([[tub, log]]));
  const said = book.current.tubs.find(({ id }) => id === tub);
  if (said === undefined) throw notSetUp(tub);
  const versions = book.of(tub);
  const { timeZone } = versions.at(-1)!.settings.place;
  const span = { from: dayBounds(from, timeZone).from, to: dayBounds(to, timeZone).to };
  const heard = await store.span(tub);
  const points = await store.points(tub);
  const readings = readingsOf(span, versions, points);
  const figures = await store.days(tub);
  const byDate = new Map(figures.map((row) => [row.date, row]));
  const rows = {
    quarters: (since: number, until: number) => store.ledger(tub, since, until),
    figures: (date: string) => byDate.get(date) ?? null,
  };
  return {
    about: {
      ...{ format: FORMAT, version: FORMAT_VERSION, tub, from, to, timeZone },
      madeAt: iso(madeAt),
      heardAt: isoOrNull(heard?.to ?? null),
      countedTo: isoOrNull(await countedTo(store, tub)),
      readingsFrom: iso(readings.from),
      readingsTo: iso(readings.to),
    },
    span,
    readings,
    setup: { tubs: [said] },
    versions: madeOf(made, tub),
    settings: book.at(tub, span.to - 1) ?? versions[0]!.settings,
    said,
    log: logOf(log, readings, span.to),
    alerts: await alertsOf(store, tub, timeZone, span),
    days: await new Calendar(versions, rows, madeAt).days(from, to),
    known: knownOf(figures, from, to),
    points,
  };
}

const notSetUp = (tub: string) =>
  new SunsteepError(
    'SUNSTEEP_NOT_FOUND',
    `There is no tub ${JSON.stringify(tub)} that is set up: without its set-up nobody can help with it.`,
  );

/** As far around the days as anything of them can depend on readings. */
function readingsOf(
  span: { from: number; to: number },
  versions: readonly SettingsVersion[],
  points: readonly string[],
) {
  const heard = points.filter((point) => ledgerPoints.includes(point));
  const reaches = versions.map(({ settings }) => reach(settings, heard));
  const before = reaches.flatMap(({ beforeMs, nearestMs }) =>
    heard.map((point) => beforeMs(point) + nearestMs(point)),
  );
  const after = Math.max(0, ...reaches.map(({ afterMs }) => afterMs));
  const from = span.from - Math.max(WARM_UP_DAYS * DAY, NIGHT_MS + HOUR + Math.max(0, ...before));
  return { from, to: span.to + after + HOUR };
}

async function countedTo(store: Store, tub: string): Promise<number | null> {
  const end = Number.MAX_SAFE_INTEGER;
  const newest = await store.traces(tub, ledgerPoints, end, end, () => end);
  const times = [...newest.values()].map(({ t }) => t[0]!);
  return times.length === 0 ? null : Math.max(...times);
}

/**
 * Wiring, notices and other tubs stay in the house. One that knew nothing of this tub stays as an empty
 * one, since it may have taken the place of one before it.
 */
const madeOf = (made: readonly SetupVersion[], tub: string): Contents['versions'] =>
  made.map(({ from, madeAt, setup }) => ({
    from: isoOrNull(from),
    madeAt: iso(madeAt),
    setup: { tubs: setup.tubs.filter(({ id }) => id === tub) },
  }));

/** Kinds that bear on other days than those that they tell of. */
const lasting: ReadonlySet<LogKind> = new Set([
  'filter-cleaned',
  'water-changed',
  'away',
  'drained',
  'in-use',
  'cover-changed',
  'sensor-moved',
  'bucket-test',
  'flow-confirmed',
]);

/**
 * What was told long ago may still hold; and a first bucket test tells of the flow before it too, as a
 * new cover bounds what days before it learn from.
 */
function logOf(
  log: readonly LogEntry[],
  readings: { from: number; to: number },
  end: number,
): LogEntry[] {
  const isOfTheseDays = ({ from, until }: LogEntry) =>
    (until ?? from) >= readings.from && from < end;
  return log
    .filter((entry) => isOfTheseDays(entry) || lasting.has(entry.kind))
    .map((entry) => (isOfTheseDays(entry) ? entry : { ...entry, note: null }));
}

async function alertsOf(
  store: Store,
  tub: string,
  timeZone: string,
  span: { from: number; to: number },
): Promise<Alert[]> {
  const desk = new AlertDesk({
    store,
    clock: { now: () => span.to },
    zoneOf: () => timeZone,
    changed: () => {},
  });
  const alerts = await desk.alerts(tub, false);
  return alerts.filter(
    ({ since, until }) =>
      Date.parse(since) < span.to && (until === null || Date.parse(until) >= span.from),
  );
}

/** What the days around told, since the learned values of these days rest on them too. */
function knownOf(figures: readonly DayFigures[], from: string, to: string): Contents['known'] {
  const first = addDays(from, -LEARNS_FROM.before - 1);
  const last = addDays(to, LEARNS_FROM.after);
  const around = ({ date }: DayFigures) =>
    (date >= first && date < from) || (date > to && date <= last);
  return {
    before: figures.findLast(({ date }) => date < from)?.after ?? null,
    evidence: figures.filter(around).flatMap(({ evidence }) => evidence ?? []),
    spoilt: figures.flatMap(({ date, spoilt }) => (date >= from && date <= to ? spoilt : [])),
  };
}

import { setImmediate as turn } from 'node:timers/promises';
import { airOver } from '../../model/air.ts';
import {
  addDays,
  dayBounds,
  instantOf,
  localDate,
  minuteOfDay,
  type Span,
} from '../../model/civil-time.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import { toldHeat } from '../../model/estimate.ts';
import { type EveningDay, type Foreseen, foreseen, tubAt } from '../../model/evening.ts';
import type { Quarter } from '../../model/ledger.ts';
import { nightsWithin } from '../../model/night.ts';
import { QUARTER, quarterOf } from '../../model/readings.ts';
import { thermostatOf } from '../../model/thermostat.ts';
import {
  type SettingsVersion,
  type TubSettings,
  versionsWithin,
} from '../../model/tub-settings.ts';
import { learnedBefore } from './known-then.ts';

/** How many past days are asked what they went on to do. */
const PAST_DAYS = 35;

export interface EveningSource {
  quarters(from: number, to: number): Promise<Quarter[]>;
  figures(date: string): DayFigures | null;
}

/** An evening looked ahead to, with all that the look rests on. */
export interface EveningLook {
  today: EveningDay;
  foreseen: Foreseen;
}

/**
 * Looks ahead from an instant to the owner's next evening hour, knowing only what had come by then.
 * Whole quarters alone are asked about, so that the same question has one answer for a while; today's
 * hour is looked ahead to until it has come.
 *
 * @returns null where the tub has not been heard just before the instant
 */
export async function lookAhead(
  source: EveningSource,
  versions: readonly SettingsVersion[],
  present: number,
): Promise<EveningLook | null> {
  const askedAt = quarterOf(present);
  const settings = versions.findLast(({ from }) => from <= present)?.settings;
  if (!settings) return null;
  const zone = settings.place.timeZone;
  const date = localDate(askedAt, zone);
  const minute = minuteOfDay(askedAt, zone);
  const learned = learnedBefore(askedAt, date, versions, (day) => source.figures(day));
  const hasCome = instantOf(date, settings.evening.at, zone) <= present;
  const thermostat = thermostatBefore(source, settings, date);
  const known = { settings, learned, thermostat, daysAhead: hasCome ? 1 : 0, versions };
  // water that has just begun to be heard is known by the quarter that is under way
  const today = await eveningDay(source, known, date, minute, askedAt + QUARTER);
  if (!today) return null;
  const past: EveningDay[] = [];
  for (let n = 1; n <= PAST_DAYS; n++) {
    const day = await eveningDay(source, known, addDays(date, -n), minute);
    if (day && day.at <= askedAt) past.push(day);
    await turn();
  }
  const old = source.figures(addDays(date, -PAST_DAYS - 1));
  if (old) keptQuarters.delete(old);
  return { today: { ...today, cameC: null }, foreseen: foreseen(today, past) };
}

/** What is known of the tub on the day of the look, and taken for its past days as well. */
interface Known extends Pick<EveningDay, 'settings' | 'learned' | 'thermostat'> {
  /** From the day of the asking to that of the evening. */
  daysAhead: number;
  versions: readonly SettingsVersion[];
}

/** The backup as it was seen to work up to the day before. */
const thermostatBefore = (source: EveningSource, settings: TubSettings, date: string) =>
  thermostatOf(source.figures(addDays(date, -1))?.after?.seen ?? [], settings);

/** A day as it stood at a minute of its clock, and what came in the evening after that. */
async function eveningDay(
  source: EveningSource,
  { settings, learned, thermostat, daysAhead, versions }: Known,
  date: string,
  minute: number,
  knownTo?: number,
): Promise<EveningDay | null> {
  const zone = settings.place.timeZone;
  const bounds = dayBounds(date, zone);
  const clock = `${String(Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`;
  const askedAt = instantOf(date, clock, zone);
  const at = instantOf(addDays(date, daysAhead), settings.evening.at, zone);
  // just after midnight the tub is known by the last quarter of the day before
  const span = { from: bounds.from - QUARTER, to: at + QUARTER };
  const figures = source.figures(date);
  const isOver = figures?.evidence != null && span.to <= bounds.to;
  const quarters = await quartersOf(source, isOver ? figures : null, span);
  const before = quarters.filter(({ from }) => from + QUARTER <= askedAt);
  const tubC =
    tubAt(before, askedAt - QUARTER / 2) ??
    (knownTo === undefined ? null : tubAt(quarters, knownTo - QUARTER / 2));
  if (tubC === null) return null;
  const air = airOver(before, nightsOn(date, bounds, settings), settings);
  return {
    settings,
    learned,
    thermostat,
    quarters: before,
    netKwh: (quarter) => {
      const told = toldHeat(quarter, learned);
      return told.gainKwh === null ? null : told.gainKwh - (told.lostKwh ?? 0);
    },
    askedAt,
    at,
    tubC,
    airC: air.airC.at(-1)!,
    baths: versionsWithin(versions, askedAt, at)
      .filter((part) => part.settings.owner.bathing)
      .map(({ from, to }) => ({ from, to })),
    cameC: tubAt(quarters, at),
  };
}

/** Quarters of past days, as long as what was worked out of the day is still the same. */
const keptQuarters = new WeakMap<DayFigures, { span: Span; quarters: Quarter[] }>();

async function quartersOf(
  source: EveningSource,
  figures: DayFigures | null,
  { from, to }: Span,
): Promise<Quarter[]> {
  const kept = figures && keptQuarters.get(figures);
  if (kept && kept.span.from === from && kept.span.to === to) return kept.quarters;
  const quarters = await source.quarters(from, to);
  if (figures) keptQuarters.set(figures, { span: { from, to }, quarters });
  return quarters;
}

const keptNights = new WeakMap<TubSettings, Map<string, Span[]>>();
const KEPT_DAYS = 3 * PAST_DAYS;

/** The nights of a day, which stay what they are: looking them up takes longer than all of a look. */
function nightsOn(date: string, { from, to }: Span, settings: TubSettings): Span[] {
  let days = keptNights.get(settings);
  if (!days || days.size > KEPT_DAYS) {
    days = new Map();
    keptNights.set(settings, days);
  }
  const { latitude, longitude } = settings.place;
  const nights = days.get(date) ?? nightsWithin(from, to, latitude, longitude);
  days.set(date, nights);
  return nights;
}

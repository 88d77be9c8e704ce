import { QUARTER } from '../../model/readings.ts';
import type { DayWithQuarters, Value } from '../../model/shapes.ts';
import { freshness } from '../../model/state.ts';
import type { Speaker } from '../../model/words/speaker.ts';
import { localClock } from './clock-hours.ts';
import { powerOf, slotsOf } from './story.ts';

/** What is to be drawn of a day, in the person's units; the drawing itself knows nothing of tubs. */
export interface Picture {
  from: number;
  to: number;
  nights: { from: number; to: number }[];
  /** Mean power of each quarter hour [kW]; lost is negative. */
  bars: { x: number; gainKw: number | null; lostKw: number | null; estimated: boolean }[];
  /** The water in degrees as the person counts them; null where nothing was heard. */
  water: { x: number; y: number | null }[];
  waterNow: { x: number; y: number } | null;
  wanted: number | null;
  /** The band in which the water is expected at the owner's hour, where that is of this day. */
  expected: { at: number; low: number; high: number } | null;
  hours: { at: number; label: string }[];
  degrees: (value: number) => string;
  /** The topmost mark carries the unit. */
  kilowatts: (value: number, topmost: boolean) => string;
}

interface Shown {
  day: DayWithQuarters;
  present: number;
  /** The tub's latest reading, where the day is today. */
  tub: { celsius: number; value: Value | undefined } | null;
  /** What the evening is to be, where the day is today. */
  evening: { at: number; lowC: number; highC: number } | null;
  timeZone: string;
  say: Speaker;
}

/** Less than this in a quarter hour cannot be seen, and says nothing [kW]. */
const LEAST_KW = 0.02;

export function pictureOf({ day, present, tub, evening, timeZone, say }: Shown): Picture {
  const from = Date.parse(day.from);
  const to = Date.parse(day.to);
  const past = slotsOf(day).filter((slot) => slot.from < present);
  return {
    from,
    to,
    nights: day.nights.map((night) => ({ from: Date.parse(night.from), to: Date.parse(night.to) })),
    bars: past.map((slot) => ({
      x: slot.from + QUARTER / 2,
      gainKw: kilowattsOf(slot.quarter?.gainKwh),
      lostKw: negative(kilowattsOf(slot.quarter?.lostKwh)),
      estimated: slot.quarter?.basis === 'estimated' || slot.quarter?.basis === 'mixed',
    })),
    water: past.map(({ from, quarter }) => ({
      x: from + QUARTER / 2,
      y: quarter?.tubC == null ? null : say.toDegrees(quarter.tubC),
    })),
    waterNow: latestOf(tub, present, from, to, say),
    wanted: day.targetC === null ? null : say.toDegrees(day.targetC),
    expected: evening !== null && evening.at <= to ? bandOf(evening, say) : null,
    hours: hoursOf(from, to, timeZone, say),
    degrees: (value) => `${say.number(value, 0)}°`,
    kilowatts: (value, topmost) =>
      say.number(value, Number.isInteger(value) ? 0 : 1) + (topmost ? ' kW' : ''),
  };
}

function kilowattsOf(kwh: number | null | undefined): number | null {
  const watts = powerOf(kwh);
  if (watts === null || watts < LEAST_KW * 1000) return null;
  return watts / 1000;
}

const negative = (value: number | null) => (value === null ? null : -value);

function latestOf(
  tub: Shown['tub'],
  present: number,
  from: number,
  to: number,
  say: Speaker,
): Picture['waterNow'] {
  if (tub === null || !tub.value?.time || freshness(tub.value, present) === 'gone') return null;
  const x = Date.parse(tub.value.time);
  return x < from || x > to ? null : { x, y: say.toDegrees(tub.celsius) };
}

const bandOf = ({ at, lowC, highC }: NonNullable<Shown['evening']>, say: Speaker) => ({
  at,
  low: say.toDegrees(lowC),
  high: say.toDegrees(highC),
});

/** Every sixth hour of the clock; the day's end is told as such. */
function hoursOf(from: number, to: number, timeZone: string, say: Speaker): Picture['hours'] {
  const clock = localClock(timeZone);
  const hours: Picture['hours'] = [];
  for (let at = from; at < to; at += QUARTER) {
    if (clock.hour(at) % 6 === 0 && clock.minute(at) === 0) hours.push({ at, label: say.hour(at) });
  }
  hours.push({ at: to, label: say.manner.hours === 24 ? '24' : say.hour(to) });
  return hours;
}

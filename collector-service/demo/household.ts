import { HOUR, MINUTE } from '../../model/readings.ts';
import { unit } from './chance.ts';
import { demoTub } from './place.ts';

/** What the people of the demonstration do: baths, and the hours of filter and backup. */

const DAY = 24 * HOUR;
/** A bath that people take on a share of the days, somewhere between two minutes of the local day. */
interface Habit {
  channel: number;
  share: number;
  from: number;
  to: number;
  shortest: number; // min
  longest: number; // min
  fewest: number; // people
  most: number;
}
const evening = { channel: 30, share: 0.85, from: 1230, to: 1335, shortest: 40, longest: 60 };
const morning = { channel: 40, share: 0.45, from: 405, to: 480, shortest: 20, longest: 30 };
const habits: readonly Habit[] = [
  { ...evening, fewest: 2, most: 4 },
  { ...morning, fewest: 1, most: 2 },
];

const civil = new Intl.DateTimeFormat('en-GB', {
  timeZone: demoTub.place.timeZone,
  hourCycle: 'h23',
  year: 'numeric',
  month: 'numeric',
  day: 'numeric',
  hour: 'numeric',
  minute: 'numeric',
});

function offsetAt(hour: number): number {
  const part: Record<string, number> = {};
  for (const { type, value } of civil.formatToParts(hour)) part[type] = Number(value);
  return Date.UTC(part.year!, part.month! - 1, part.day!, part.hour!, part.minute!) - hour;
}

// A formatter is slow, and the steps of an hour all ask for the same hour.
let known = { hour: Number.NaN, offset: 0 };

/** Local civil time: the day's number, and minutes since its midnight. Clocks move on a full hour. */
export function localTime(t: number): { day: number; minute: number } {
  const hour = Math.floor(t / HOUR) * HOUR;
  if (known.hour !== hour) known = { hour, offset: offsetAt(hour) };
  const local = t + known.offset;
  const day = Math.floor(local / DAY);
  return { day, minute: (local - day * DAY) / MINUTE };
}

const minuteOf = (time: string) => Number(time.slice(0, 2)) * 60 + Number(time.slice(3));
const within = (minute: number, from: number, to: number) => minute >= from && minute < to;
const backupHours = demoTub.backup.hours.map(({ from, to }) => [minuteOf(from), minuteOf(to)]);

export interface Doings {
  /** People in the water; the cover is off as long as there are any. */
  bathers: number;
  filterRuns: boolean;
  backupAllowed: boolean;
}

/** Most evenings two to four people bathe after eight; on some mornings one or two take a dip. */
export function doingsAt(seed: number, t: number): Doings {
  const { day, minute } = localTime(t);
  let bathers = 0;
  for (const habit of habits) {
    if (within(minute, habit.from, habit.to)) bathers += bathersOf(habit, seed, day, minute);
  }
  return {
    bathers,
    filterRuns: within(minute, 540, 600) || within(minute, 1350, 1410),
    backupAllowed: backupHours.some(([from, to]) => within(minute, from!, to!)),
  };
}

function bathersOf(habit: Habit, seed: number, day: number, minute: number): number {
  const chance = (what: number) => unit(seed, habit.channel + what, day);
  if (chance(0) > habit.share) return 0;
  const length = habit.shortest + Math.round((habit.longest - habit.shortest) * chance(1));
  const start = habit.from + Math.round((habit.to - habit.from - habit.longest) * chance(2));
  if (!within(minute, start, start + length)) return 0;
  return habit.fewest + Math.floor((habit.most - habit.fewest + 1) * chance(3));
}

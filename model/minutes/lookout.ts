import { minuteOfDay } from '../civil-time.ts';
import { clearPlaneSun } from '../expected.ts';
import { HOUR, MINUTE } from '../readings.ts';
import type { FaultId } from '../rules/fault-id.ts';
import type { EvidenceFigures } from '../rules/rule.ts';
import { incidenceDeg, sunPosition } from '../sun.ts';
import { longestGapMs, type TubSettings } from '../tub-settings.ts';
import { boardHeardAt, boardsHeard, type HeardBoard, isBoardSilent } from './boards-heard.ts';
import { type HeardPoint, hear, newPoint, steady } from './heard-point.ts';
import { type History, newHistory, write } from './history.ts';
import { Minute, type PumpHeard, type WorkingStates } from './minute.ts';
import type { Usual } from './usual.ts';
import { deriveStates, newStateMemory, type StateMemory, unknownStates } from './working-states.ts';

/** What is remembered of a tub's readings from minute to minute. Plain data that grows no longer with time. */
export interface Seen {
  heard: Record<string, HeardPoint>;
  pump: PumpHeard;
  states: WorkingStates;
  stateMemory: StateMemory;
  history: History;
}

/** What alerts say of what is seen. */
export interface SaidOfSeen {
  /** Whether a fault is told just now, of any point. */
  isTold: (fault: FaultId) => boolean;
  toldBy: (fault: FaultId) => EvidenceFigures | null;
  /** Whether it is told of a point, or of all of its board, that it stands still. */
  isFrozen: (point: string, board: readonly string[]) => boolean;
}

const DAY = 24 * HOUR;
const FLAG_GOES_MS = 10 * MINUTE;
const SUN_EVERY_MS = 5 * MINUTE;
/** No value stands for the present longer than this, however seldom its point speaks. [ms] */
const STANDS_MS = 2 * HOUR;
/** Impossible readings in a row after which the last possible one no longer counts. */
const IMPOSSIBLE = 3;
/** Counters move in steps: over how long their rate is taken [min]. */
const COUNTED_MIN = { volume: 5, energy: 15 };

export const newSeen = (): Seen => ({
  heard: {},
  pump: { on: null, changedAt: Number.NEGATIVE_INFINITY, starts: [], stops: [] },
  states: unknownStates(),
  stateMemory: newStateMemory(),
  history: newHistory(),
});

/** Takes a tub's readings in, in the order of their times, and brings its minute up to date with them. */
export class Lookout {
  readonly minute: Minute;
  /** The boards of what was ever heard; another list once that, or the set-up, has changed. */
  boards: readonly HeardBoard[] = [];
  private readonly seen: Seen;
  private readonly said: SaidOfSeen;
  private boardsOf: { settings: TubSettings; points: number } | null = null;

  constructor(seen: Seen, said: SaidOfSeen, settings: TubSettings, usual: Usual) {
    this.seen = seen;
    this.said = said;
    this.minute = new Minute({ ...seen, settings, usual });
    this.minute.isTold = said.isTold;
    this.minute.toldBy = said.toldBy;
  }

  /** Takes a reading; times [ms] of one point must rise, an older one changes nothing. */
  hear(point: string, t: number, value: number): void {
    const { seen } = this;
    seen.heard[point] ??= newPoint(point);
    const heard = seen.heard[point];
    if (t <= heard.heardAt) return;
    hear(heard, t, value, this.minute.settings.corrections[point] ?? {});
    if (point === this.pumpPoint()) this.hearPump(t, this.isPumping(point, value));
  }

  /** The point that tells best whether the pump runs; null where none does. */
  private pumpPoint(): string | null {
    const { heard } = this.seen;
    if (heard['pump/running'] && this.minute.settings.pump.stateIs !== 'none')
      return 'pump/running';
    return heard['pump/power'] ? 'pump/power' : heard['pump/flow'] ? 'pump/flow' : null;
  }

  private isPumping(point: string, value: number): boolean {
    if (point === 'pump/running') return value > 0;
    if (point === 'pump/flow') return value > 0.3;
    return value > Math.max(0.5, 0.3 * this.minute.settings.pump.watts);
  }

  private hearPump(t: number, on: boolean): void {
    const { pump } = this.seen;
    if (pump.on === on) return;
    if (pump.on !== null) {
      const times = on ? pump.starts : pump.stops;
      times.push(t);
      while (times[0]! < t - DAY) times.shift();
      pump.changedAt = t;
    }
    pump.on = on;
  }

  /** Brings the minute that ends at `t` [ms] up to date with what was heard. */
  look(t: number, settings: TubSettings, usual: Usual): void {
    const { minute, seen } = this;
    minute.t = t;
    minute.settings = settings;
    minute.usual = usual;
    this.knowBoards(settings);
    this.lookAtSun(t);
    minute.minuteOfDay = minuteOfDay(t - MINUTE, settings.place.timeZone);
    const value = (point: string) => this.valueAt(point, t);
    minute.tubC = value('tub/temperature');
    minute.collectorC = value('collector/temperature');
    minute.inletC = value('collector/inlet');
    minute.outletC = value('collector/outlet');
    minute.airC = value('outdoor/temperature');
    minute.pumpW = this.newestAt('pump/power', t);
    minute.pumpV = this.newestAt('pump/voltage', t);
    minute.setpointC = value('backup/setpoint');
    minute.sunWPerM2 = value('collector/irradiance');
    minute.volumeL = this.newestAt('pump/volume', t);
    minute.backupKwh = this.newestAt('backup/energy', t);
    minute.coverOpen = this.flagAt('tub/cover', 0, t);
    minute.levelLow = this.flagAt('tub/level', 0, t);
    minute.asked = this.flagAt('pump/commanded', 1, t);
    const { tubC, collectorC } = minute;
    minute.differenceK = collectorC === null || tubC === null ? null : collectorC - tubC;
    this.lookAtPump(t);
    minute.lPerMin = this.newestAt('pump/flow', t) ?? this.countedLPerMin();
    minute.backupW = this.newestAt('backup/power', t) ?? this.countedW();
    write(seen.history, minute);
    deriveStates(minute, seen.states, seen.stateMemory);
  }

  private knowBoards(settings: TubSettings): void {
    const points = Object.keys(this.seen.heard);
    const { boardsOf } = this;
    if (boardsOf?.settings === settings && boardsOf.points === points.length) return;
    this.boardsOf = { settings, points: points.length };
    this.boards = boardsHeard(settings, points);
  }

  private lookAtPump(t: number): void {
    const { pump, heard } = this.seen;
    const point = this.pumpPoint();
    if (point === null || !this.isHeardLately(point, t)) pump.on = null;
    else pump.on ??= this.isPumping(point, heard[point]!.raw);
  }

  private lookAtSun(t: number): void {
    if (t % SUN_EVERY_MS !== 0 && this.minute.sunDeg !== -90) return;
    const { minute } = this;
    const { place, collectors } = minute.settings;
    const sun = sunPosition(t, place.latitude, place.longitude, place.elevationM);
    minute.sunDeg = sun.elevationDeg;
    minute.sunAzimuthDeg = sun.azimuthDeg;
    minute.incidenceDeg = incidenceDeg(sun, collectors.tiltDeg, collectors.azimuthDeg);
    const clear = clearPlaneSun(t, minute.settings);
    minute.clearWPerM2 = clear ? clear.beam + clear.diffuse : 0;
  }

  /** A value in which a single odd reading does not show; null where it was not heard lately. */
  private valueAt(point: string, t: number): number | null {
    return this.isKnownAt(point, t) ? steady(this.seen.heard[point]!) : null;
  }

  /** The newest value; null where it was not heard lately. */
  private newestAt(point: string, t: number): number | null {
    return this.isKnownAt(point, t) ? this.seen.heard[point]!.values[0]! : null;
  }

  /**
   * Whether a point's newest value still stands for the present. One that may speak only when something
   * changes is known as long as its board is heard; one that is told to be frozen tells nothing.
   */
  private isKnownAt(point: string, t: number): boolean {
    const heard = this.seen.heard[point];
    if (!heard || !isKnown(heard, t)) return false;
    const board = this.boards.find(({ points }) => points.includes(point))!;
    if (this.said.isFrozen(point, board.points)) return false;
    if (heard.steadyGapMs !== null) return true;
    return !isBoardSilent(board, this.seen.heard, t);
  }

  /** Whether a switch stands at `position`; null where that is not known. */
  private flagAt(point: string, position: 0 | 1, t: number): boolean | null {
    const heard = this.seen.heard[point];
    if (!heard || heard.values.length === 0 || !this.isHeardLately(point, t)) return null;
    return heard.values[0]! > 0 === position > 0;
  }

  /** A switch speaks when it changes: it stands as long as its board is heard. */
  private isHeardLately(point: string, t: number): boolean {
    const heard = this.seen.heard[point]!;
    if (heard.type.kind !== 'flag') return isKnown(heard, t);
    if (t - heard.heardAt > longestGapMs(this.minute.settings, point)) return false;
    const board = this.boards.find(({ points }) => points.includes(point))!;
    const { heard: all } = this.seen;
    return t - boardHeardAt(board, all) <= FLAG_GOES_MS || !isBoardSilent(board, all, t);
  }

  private countedLPerMin(): number | null {
    const { minute } = this;
    const before = minute.ago('volumeL', COUNTED_MIN.volume - 1);
    if (minute.volumeL === null || before === null || minute.volumeL < before) return null;
    const changed = (minute.t - this.seen.pump.changedAt) / MINUTE;
    if (changed < COUNTED_MIN.volume) return null;
    return (minute.volumeL - before) / COUNTED_MIN.volume;
  }

  private countedW(): number | null {
    const { minute } = this;
    const before = minute.ago('backupKwh', COUNTED_MIN.energy - 1);
    if (minute.backupKwh === null || before === null || minute.backupKwh < before) return null;
    return ((minute.backupKwh - before) * 60_000) / COUNTED_MIN.energy;
  }
}

/** Whether the newest value that can be still stands for the present. */
const isKnown = ({ values, times, patienceMs, open, short }: HeardPoint, t: number): boolean =>
  values.length > 0 &&
  t - times[0]! <= Math.min(patienceMs, STANDS_MS) &&
  open.count < IMPOSSIBLE &&
  short.count < IMPOSSIBLE;

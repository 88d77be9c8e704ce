import { clearPlaneSun, loopPowerW } from '../expected.ts';
import type { Minute } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';

/**
 * When a day of the loop began and ended, beside when a clear sky's sun says that it could: by light where
 * a sensor tells, else by the collectors' first warming and the pump's last stop for want of sun. Plain data.
 */
export interface SunEdges {
  /** Light first and last above the level [ms], by the sensor, and its highest [W/m²]. */
  lightFrom: number | null;
  lightTo: number | null;
  lightHeard: boolean;
  highest: number;
  clearFrom: number | null;
  clearTo: number | null;
  /** Coldest of the collectors since midnight, when they were warmer by `WARMED_K`, and a clear sky's. */
  coldestC: number | null;
  warmedAt: number | null;
  modelK: number;
  modelWarmedAt: number | null;
  pumpRan: boolean;
  /** When the pump last stopped for want of sun, and when a clear sky would last have kept it running. */
  stoppedAt: number | null;
  keptAt: number | null;
  isFull: boolean;
}

/** By how many minutes morning and evening came too late (above 0) or too early; null: not known. */
export interface Edges {
  byWhat: 'light' | 'warmth';
  morningMin: number;
  eveningMin: number | null;
}

/** Light that marks morning and evening. [W/m²] */
const LIGHT_W = 150;
/** A day whose light never came near a clear sky's tells nothing. [W/m²] */
const BRIGHT_W = 450;
/** So much that neither a mild morning's air nor the sky alone does it. */
const WARMED_K = 20;
/** Heat that a square metre of collector takes for each kelvin. [J/K] */
const COLLECTOR_J_PER_M2_K = 8000;
/** A pump that stops at a greater difference stops for another reason. [K] */
const STOP_MARGIN_K = 2.5;
const KEEPS_MS = 5 * MINUTE;
/** By how much clouds or shade may shorten a day that still counts [min]; without its evening, a day
 * that begins later than this may have begun in clouds. */
const SHORTENED_MIN = 60;
const CLOUDLESS_MIN = 15;
/** Farther off than this is no clock, but a cloudy day. [min] */
const FARTHEST_MIN = 300;

export const beginEdges = (): SunEdges => ({
  lightFrom: null,
  lightTo: null,
  lightHeard: false,
  highest: 0,
  clearFrom: null,
  clearTo: null,
  coldestC: null,
  warmedAt: null,
  modelK: 0,
  modelWarmedAt: null,
  pumpRan: false,
  stoppedAt: null,
  keptAt: null,
  isFull: false,
});

export function addEdges(edges: SunEdges, minute: Minute): void {
  const { t, sunWPerM2, clearWPerM2 } = minute;
  if (clearWPerM2 > LIGHT_W) {
    edges.clearFrom ??= t;
    edges.clearTo = t;
  }
  if (sunWPerM2 !== null) {
    edges.lightHeard = true;
    edges.highest = Math.max(edges.highest, sunWPerM2);
    if (sunWPerM2 > LIGHT_W) {
      edges.lightFrom ??= t;
      edges.lightTo = t;
    }
  }
  warm(edges, minute);
  stop(edges, minute);
}

/** The collectors' first warming, of themselves and as a clear sky would warm them. */
function warm(edges: SunEdges, { t, collectorC, clearWPerM2, settings, states }: Minute): void {
  if (edges.modelWarmedAt === null) {
    const { eta0, a1 } = settings.collectors;
    const gain = eta0 * clearWPerM2 - a1 * edges.modelK;
    edges.modelK = Math.max(0, edges.modelK + (60 * gain) / COLLECTOR_J_PER_M2_K);
    if (edges.modelK >= WARMED_K) edges.modelWarmedAt = t;
  }
  if (edges.warmedAt !== null || collectorC === null) return;
  if (states.pumpOn) edges.pumpRan = true;
  edges.coldestC = Math.min(edges.coldestC ?? collectorC, collectorC);
  if (collectorC >= edges.coldestC + WARMED_K) edges.warmedAt = t;
}

/** The pump's last stop for want of sun, and the last moment at which a clear sky would drive it. */
function stop(edges: SunEdges, minute: Minute): void {
  const { t, settings, states, tubC, usual } = minute;
  if (states.limitPause) edges.isFull = true;
  if (states.pumpOn === false && states.pumpMinutes < 1) {
    const beforeK = minute.ago('collectorC', 1);
    const tubBeforeC = minute.ago('tubC', 1);
    const offK = settings.controller.switchOffK + STOP_MARGIN_K;
    const isForWant = beforeK !== null && tubBeforeC !== null && beforeK - tubBeforeC <= offK;
    edges.stoppedAt = isForWant && settings.pump.supply === 'mains' ? t : null;
  }
  if (t % KEEPS_MS !== 0 || tubC === null) return;
  const clear = clearPlaneSun(t, settings);
  if (!clear) return;
  const airC = minute.airC ?? Math.min(tubC - 5, (edges.coldestC ?? tubC - 20) + 8);
  const powerW = loopPowerW(clear, tubC, airC, usual.lPerMin, settings);
  const differenceK = powerW / ((usual.lPerMin / 60) * 4186);
  if (differenceK >= settings.controller.switchOffK) edges.keptAt = t;
}

/** null where the day was not clear enough at both ends, which also shade makes it. */
export function edgesOff(edges: SunEdges): Edges | null {
  const byWhat = edges.lightHeard ? 'light' : 'warmth';
  const { morningMin, eveningMin } = edges.lightHeard ? byLight(edges) : byWarmth(edges);
  if (morningMin === null) return null;
  const isShort = eveningMin !== null && morningMin - eveningMin > SHORTENED_MIN;
  const isLate = morningMin > CLOUDLESS_MIN && (eveningMin === null || isShort);
  if (isLate || (isShort && byWhat === 'light')) return null;
  return { byWhat, morningMin, eveningMin: isShort ? null : eveningMin };
}

interface Found {
  morningMin: number | null;
  eveningMin: number | null;
}

function byLight({ lightFrom, lightTo, highest, clearFrom, clearTo }: SunEdges): Found {
  if (highest < BRIGHT_W) return { morningMin: null, eveningMin: null };
  return { morningMin: apart(lightFrom, clearFrom), eveningMin: apart(lightTo, clearTo) };
}

function byWarmth(edges: SunEdges): Found {
  const { warmedAt, modelWarmedAt, stoppedAt, keptAt, pumpRan, isFull } = edges;
  return {
    morningMin: pumpRan ? null : apart(warmedAt, modelWarmedAt),
    eveningMin: isFull ? null : apart(stoppedAt, keptAt),
  };
}

function apart(seen: number | null, reckoned: number | null): number | null {
  if (seen === null || reckoned === null) return null;
  const minutes = (seen - reckoned) / MINUTE;
  return Math.abs(minutes) > FARTHEST_MIN ? null : minutes;
}

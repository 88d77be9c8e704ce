import type { Minute } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';

/**
 * When a day of the loop began and ended, beside when a clear sky's sun says that it could: by light where
 * a sensor tells, else by the collectors' first warming and last cooling. Plain data.
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
  /** When they were last so warm. */
  cooledAt: number | null;
  isTold: boolean;
}

/** By how many minutes morning and evening came too late (above 0) or too early; null: not known. */
export type Edges = { byWhat: 'light'; morningMin: number; eveningMin: number | null } | WarmEdges;

/** The collectors' first warming beside a clear sky's, and their cooling beside the end of its light. */
export interface WarmEdges {
  byWhat: 'warmth';
  morningMin: number;
  cooledMin: number | null;
  /** It was known by then that times are off. */
  isTold: boolean;
}

/** Light that marks morning and evening. [W/m²] */
const LIGHT_W = 150;
/** A day whose light never came near a clear sky's tells nothing. [W/m²] */
const BRIGHT_W = 450;
/** So much that neither a mild morning's air nor the sky alone does it. */
const WARMED_K = 20;
/** Heat that a square metre of collector takes for each kelvin. [J/K] */
const COLLECTOR_J_PER_M2_K = 8000;
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
  cooledAt: null,
  isTold: false,
});

export function addEdges(edges: SunEdges, minute: Minute): void {
  const { t, sunWPerM2, clearWPerM2 } = minute;
  edges.isTold ||= minute.isTold('clock-wrong');
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
}

/** The collectors' warming and cooling, and their first warming as a clear sky would warm them. */
function warm(edges: SunEdges, { t, collectorC, clearWPerM2, settings, states }: Minute): void {
  if (edges.modelWarmedAt === null) {
    const { eta0, a1 } = settings.collectors;
    const gain = eta0 * clearWPerM2 - a1 * edges.modelK;
    edges.modelK = Math.max(0, edges.modelK + (60 * gain) / COLLECTOR_J_PER_M2_K);
    if (edges.modelK >= WARMED_K) edges.modelWarmedAt = t;
  }
  if (collectorC === null) return;
  if (edges.warmedAt === null) {
    if (states.pumpOn) edges.pumpRan = true;
    edges.coldestC = Math.min(edges.coldestC ?? collectorC, collectorC);
  }
  if (collectorC < edges.coldestC! + WARMED_K) return;
  edges.warmedAt ??= t;
  edges.cooledAt = t;
}

/** null where the day tells nothing of the hour, or by its light was not clear enough at both ends. */
export function edgesOff(edges: SunEdges): Edges | null {
  return edges.lightHeard ? byLight(edges) : byWarmth(edges);
}

function byLight({ lightFrom, lightTo, highest, clearFrom, clearTo }: SunEdges): Edges | null {
  const morningMin = highest < BRIGHT_W ? null : apart(lightFrom, clearFrom);
  if (morningMin === null) return null;
  const eveningMin = apart(lightTo, clearTo);
  const isShort = eveningMin !== null && morningMin - eveningMin > SHORTENED_MIN;
  const isLate = morningMin > CLOUDLESS_MIN && eveningMin === null;
  return isLate || isShort ? null : { byWhat: 'light', morningMin, eveningMin };
}

function byWarmth(edges: SunEdges): WarmEdges | null {
  const { warmedAt, modelWarmedAt, cooledAt, clearTo, pumpRan, isTold } = edges;
  const morningMin = pumpRan ? null : apart(warmedAt, modelWarmedAt);
  if (morningMin === null) return null;
  return { byWhat: 'warmth', morningMin, cooledMin: apart(cooledAt, clearTo), isTold };
}

function apart(seen: number | null, reckoned: number | null): number | null {
  if (seen === null || reckoned === null) return null;
  const minutes = (seen - reckoned) / MINUTE;
  return Math.abs(minutes) > FARTHEST_MIN ? null : minutes;
}

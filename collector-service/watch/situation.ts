import type { Learned } from '../../model/learned.ts';
import type { WorkingStates } from '../../model/minutes/minute.ts';
import { defaultLongestGapMin, pointType } from '../../model/points.ts';
import { presentPower } from '../../model/present-power.ts';
import { HOUR, MINUTE, type Trace, type Traces } from '../../model/readings.ts';
import type { Alert, Day, Figures, Value } from '../../model/shapes.ts';
import { freshness, type Situation } from '../../model/state.ts';
import { sunPosition, sunTimes } from '../../model/sun.ts';
import { longestGapMs, type TubSettings } from '../../model/tub-settings.ts';
import { usable } from '../../model/usable.ts';

/** Points without which not even an estimate can be made. */
const leastPoints = ['tub/temperature', 'collector/temperature', 'pump/running'];

/** What is known of one tub at an instant, to conclude from. */
export interface Known {
  at: number;
  /** null for a tub that is heard but not set up. */
  settings: TubSettings | null;
  /** What is worked with just now; null for a tub that is not set up. */
  learned: Learned | null;
  /** The newest few readings of each point. */
  recent: Traces;
  /** Values that a broker kept from an unknown earlier time. */
  earlier: ReadonlyMap<string, { value: number }>;
  /** The last hours of all points that the present is judged by. */
  lately: Traces;
  /** The present local day; null for a tub that is not set up. */
  day: Day | null;
  yesterday: Day | null;
  /** The present local day's span; null for a tub that is not set up. */
  daySpan: { from: number; to: number } | null;
  /** Since when the owner has said that the tub is drained; null where it is not. */
  drainedSince: number | null;
  workingOut: boolean;
  /** What rules derive of the present minute; null where they have not come that far. */
  states: Pick<WorkingStates, 'settling' | 'limitPause'> | null;
  /** Change of the tub's temperature in a usual night [K/h]; null before it is known. */
  usualNightKPerH: number | null;
  /** Those that stand. */
  alerts: Alert[];
}

export function situationOf(known: Known): Situation {
  const { at, settings, learned, day } = known;
  const values = valuesOf(known);
  const shown = (point: string): number | null => {
    const value = values[point];
    return value && freshness(value, at) !== 'gone' ? value.value : null;
  };
  const power = settings && learned && presentPower(settings, learned, known.lately, at);
  return {
    at: iso(at),
    values,
    powerW: power?.watts ?? null,
    day,
    figures: {
      powerBasis: power?.basis ?? null,
      ...pumpFigures(known, shown('pump/running')),
      ...placeFigures(known),
      heardAt: newest(known.recent),
      tubKPerH: settings && shown('tub/temperature') !== null ? tubKPerH(known, settings) : null,
      tubC: shown('tub/temperature'),
      collectorC: shown('collector/temperature'),
      settling: known.states?.settling ?? null,
      limitPause: known.states?.limitPause ?? null,
      usualNightKPerH: known.usualNightKPerH,
      yesterday: known.yesterday && {
        gainKwh: known.yesterday.gainKwh,
        basis: known.yesterday.basis,
      },
      drainedSince: known.drainedSince === null ? null : iso(known.drainedSince),
      missing: settings
        ? []
        : ['place', ...leastPoints.filter((point) => !known.recent.has(point))],
      workingOut: known.workingOut,
    },
    alerts: known.alerts,
  };
}

const iso = (t: number): string => new Date(t).toISOString();

/** The newest value of each point that can be, corrected, as it is worked with. */
function valuesOf({ recent, earlier, settings }: Known): Record<string, Value> {
  const values: Record<string, Value> = {};
  for (const [point, raw] of recent) {
    const trace = settings ? usable(raw, point, settings) : raw;
    const last = trace.t.length - 1;
    if (last < 0) continue;
    values[point] = {
      value: trace.v[last]!,
      time: iso(trace.t[last]!),
      everyS: usualGapS(raw),
      longestGapMin: gapMin(settings, point),
    };
  }
  for (const [point, { value }] of earlier) {
    values[point] ??= { value, time: null, everyS: null, longestGapMin: gapMin(settings, point) };
  }
  return values;
}

function gapMin(settings: TubSettings | null, point: string): number {
  if (settings) return longestGapMs(settings, point) / MINUTE;
  return defaultLongestGapMin(pointType(point)?.kind ?? 'temperature');
}

/** Median time between a point's newest readings [s]; null before there are two. */
function usualGapS({ t }: Trace): number | null {
  if (t.length < 2) return null;
  const gaps = [...t.subarray(1)].map((time, i) => time - t[i]!).sort((a, b) => a - b);
  return gaps[Math.floor(gaps.length / 2)]! / 1000;
}

function newest(recent: Traces): string | null {
  let heard = Number.NEGATIVE_INFINITY;
  for (const { t } of recent.values()) heard = Math.max(heard, t.at(-1) ?? heard);
  return Number.isFinite(heard) ? iso(heard) : null;
}

function pumpFigures({ lately }: Known, running: number | null) {
  const flow = lately.get('pump/flow');
  const flowing = flow && flow.t.length > 0 ? flow.v.at(-1)! > 0.2 : null;
  const state = lately.get('pump/running') ?? null;
  return {
    pumpOn: running === null ? flowing : running > 0,
    pumpChangedAt: state && lastChange(state),
  };
}

function lastChange({ t, v }: Trace): string | null {
  for (let i = t.length - 1; i > 0; i--) if (v[i] !== v[i - 1]) return iso(t[i]!);
  return null;
}

function placeFigures({
  at,
  settings,
  daySpan,
}: Known): Pick<
  Figures,
  'timeZone' | 'targetC' | 'limitC' | 'switchOnK' | 'sunDeg' | 'sunrise' | 'sunset'
> {
  if (!settings || !daySpan) {
    return {
      timeZone: null,
      targetC: null,
      limitC: null,
      switchOnK: null,
      sunDeg: null,
      sunrise: null,
      sunset: null,
    };
  }
  const { latitude, longitude, timeZone } = settings.place;
  const { sunrise, sunset } = sunTimes(daySpan.from, daySpan.to, latitude, longitude);
  return {
    timeZone,
    targetC: settings.tub.targetC,
    limitC: settings.tub.limitC,
    switchOnK: settings.controller.switchOnK,
    sunDeg: sunPosition(at, latitude, longitude).elevationDeg,
    sunrise: sunrise === null ? null : iso(sunrise),
    sunset: sunset === null ? null : iso(sunset),
  };
}

/**
 * How fast the tub's temperature changes [K/h]: slope of a straight line through the last hour's
 * readings; null where they span less than half of it.
 */
function tubKPerH({ at, lately }: Known, settings: TubSettings): number | null {
  const raw = lately.get('tub/temperature');
  if (!raw) return null;
  const { t, v } = usable(raw, 'tub/temperature', settings);
  const first = t.findIndex((time) => time >= at - HOUR);
  const n = t.length - first;
  if (first < 0 || t.at(-1)! - t[first]! < HOUR / 2) return null;
  let [sumT, sumV, sumTt, sumTv] = [0, 0, 0, 0];
  for (let i = first; i < t.length; i++) {
    const hours = (t[i]! - at) / HOUR;
    sumT += hours;
    sumV += v[i]!;
    sumTt += hours * hours;
    sumTv += hours * v[i]!;
  }
  return (n * sumTv - sumT * sumV) / (n * sumTt - sumT * sumT);
}

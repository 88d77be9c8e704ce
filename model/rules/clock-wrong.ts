import type { Minute } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';
import type { EvidenceFigures, Finding, PastDay, Rule } from './rule.ts';
import { addEdges, beginEdges, type Edges, edgesOff, type SunEdges } from './sun-edges.ts';

/** How far off a board's clock may be, for how many messages. */
const OFF_MS = 2 * MINUTE;
const MESSAGES = 10;
/** How far off the sun's day the loop's day may be [min]; morning and evening each have to bear it out. */
const DAY_OFF_MIN = 40;
const EDGE_OFF_MIN = 20;
/** With a single edge, as where the tub was full in the afternoon. */
const LONE_EDGE_OFF_MIN = 45;
const WELL_WITHIN_MIN = 30;
const DAYS = 3;
const WITHIN_DAYS = 10;
const DAY = 24 * 60 * MINUTE;

/**
 * Times are off: boards' own, as messages arrive; or the loop's whole day, by the sun. Morning and evening
 * of a clear day must both come too early, or both too late: shade makes the one late and the other early,
 * and clouds can do no more. A loop that warms before a clear sky's sun could warm it is proof by itself.
 */
export const clockWrong: Rule<Record<string, never>, SunEdges, Edges> = {
  fault: 'clock-wrong',
  severity: 'look',
  onMs: 10 * MINUTE,
  offMs: 10 * MINUTE,
  needs: [['collector/temperature', 'collector/irradiance']],
  uses: ['pump/running', 'collector/irradiance'],
  mutedBy: ['broker-lost', 'to-and-from-swapped'],
  minute(minute, _, __, days): Finding {
    const worst = worstClock(minute);
    if (worst) return { evidence: worst };
    return byTheSun(days, minute.t);
  },
  daily: { begin: beginEdges, add: addEdges, close: (edges) => edgesOff(edges) },
};

function worstClock({ outside }: Minute): EvidenceFigures | null {
  let worst: EvidenceFigures | null = null;
  let most = OFF_MS;
  for (const [point, { offMs, messages }] of outside.clocks) {
    if (messages < MESSAGES || Math.abs(offMs) <= most) continue;
    most = Math.abs(offMs);
    worst = { point, ...figures(offMs / MINUTE), messages };
  }
  return worst;
}

/** @param offMin  above 0 where the times told are later than the true ones */
function figures(offMin: number): EvidenceFigures {
  const hours = Math.round(offMin / 60);
  return {
    offMinutes: Math.round(offMin),
    wholeHours: hours !== 0 && Math.abs(offMin - 60 * hours) < 20 ? hours : null,
  };
}

function byTheSun(days: readonly PastDay<Edges>[], t: number): Finding {
  const newest = days.slice(-DAYS);
  const first = newest[0];
  if (newest.length < DAYS || t - first!.to > WITHIN_DAYS * DAY) return 'between';
  const off = newest.map(({ fact }) => offMinutes(fact));
  const [low, high] = [Math.min(...off), Math.max(...off)];
  if (Math.max(Math.abs(low), Math.abs(high)) < WELL_WITHIN_MIN) return 'gone';
  const isOff = low >= DAY_OFF_MIN || high <= -DAY_OFF_MIN;
  if (!isOff || !newest.every(({ fact }) => isBorneOut(fact))) return 'between';
  return {
    since: first!.from,
    evidence: { ...figures(off.toSorted((a, b) => a - b)[1]!), clearDays: DAYS },
  };
}

const offMinutes = ({ morningMin, eveningMin }: Edges): number =>
  eveningMin === null ? morningMin : (morningMin + eveningMin) / 2;

function isBorneOut({ morningMin, eveningMin }: Edges): boolean {
  if (eveningMin === null) return morningMin <= -LONE_EDGE_OFF_MIN;
  return (
    Math.sign(morningMin) === Math.sign(eveningMin) &&
    Math.min(Math.abs(morningMin), Math.abs(eveningMin)) >= EDGE_OFF_MIN
  );
}

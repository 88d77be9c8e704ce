import { loopPowerW } from '../expected.ts';
import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { MINUTE } from '../readings.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

/** Half hours near noon, with a steady sky, that can be held against a clear one. */
const WINDOW_MIN = 30;
const CLEAR_W = 500;
const INCIDENCE_DEG = 50;
const STEADY = 0.08;
/** Beyond it clouds send light from their edges. */
const MOST = 1.2;
/** A day whose best half hour reaches less was never clear. */
const LEAST = 0.25;
const REFERENCE_DAYS = 15;
const LEAST_REFERENCE_DAYS = 5;
/** Newest days that were clear; in dull weeks fewer of them have to do. */
const STATE = { days: 14, least: 5, withinMs: 16 * 24 * 60 * MINUTE };
const TOP = 0.9;
/** Shares of what the sensor and the heat once were: the light has sunk below, and the heat has not. */
const LIMITS = { lightBelow: 0.85, heatAbove: 0.93, goneAbove: 0.9 };
const CARRIES_W = 69.7; // a litre a minute and a kelvin
const BEAM_SHARE = 0.85;

interface Window {
  minutes: number;
  sun: number;
  sunSquared: number;
  clear: number;
  heatW: number;
  expectedW: number;
  heatMinutes: number;
}

interface Gathered extends Window {
  /** The best half hour of the day: light over a clear sky's, and heat over what that would bring. */
  bestSun: number;
  bestHeat: number;
}

interface Fact {
  sun: number;
  heat: number;
}

const newWindow = (): Window => ({
  minutes: 0,
  sun: 0,
  sunSquared: 0,
  clear: 0,
  heatW: 0,
  expectedW: 0,
  heatMinutes: 0,
});

/** The irradiance sensor tells less of a clear noon than it used to, while the loop brings what it did. */
export const irradianceSensorDirty: Rule<unknown, Gathered, Fact, typeof LIMITS> = {
  fault: 'irradiance-sensor-dirty',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [
    ['lightBelow', 'goneAbove'],
    ['lightBelow', 'heatAbove'],
  ],
  needs: [['collector/irradiance'], ['collector/temperature', 'collector/outlet']],
  uses: ['pump/flow', 'collector/inlet', 'collector/outlet'],
  mutedBy: ['clock-wrong', 'flow-sensor-drifting', 'pair-offset'],
  daily: {
    begin: () => ({ ...newWindow(), bestSun: 0, bestHeat: 0 }),
    add,
    close: ({ bestSun, bestHeat }) =>
      bestSun >= LEAST && bestHeat > 0 ? { sun: bestSun, heat: bestHeat } : null,
    judge,
  },
};

function add(gathered: Gathered, minute: Minute): void {
  const { t, sunWPerM2, clearWPerM2, incidenceDeg } = minute;
  const isNoon = clearWPerM2 >= CLEAR_W && incidenceDeg <= INCIDENCE_DEG;
  if (isNoon && sunWPerM2 !== null) {
    gathered.minutes++;
    gathered.sun += sunWPerM2;
    gathered.sunSquared += sunWPerM2 * sunWPerM2;
    gathered.clear += clearWPerM2;
    addHeat(gathered, minute);
  }
  if (t % (WINDOW_MIN * MINUTE) !== 0) return;
  const { minutes, sun, sunSquared, clear, heatMinutes, heatW, expectedW } = gathered;
  Object.assign(gathered, newWindow());
  if (minutes < 0.9 * WINDOW_MIN || sun <= 0) return;
  const mean = sun / minutes;
  if (Math.sqrt(Math.max(0, sunSquared / minutes - mean * mean)) > STEADY * mean) return;
  const ratio = sun / clear;
  if (ratio <= MOST) gathered.bestSun = Math.max(gathered.bestSun, ratio);
  if (heatMinutes >= 0.9 * WINDOW_MIN && expectedW > 0) {
    gathered.bestHeat = Math.max(gathered.bestHeat, heatW / expectedW);
  }
}

/** Heat that the loop brings, and what a clear sky would. */
function addHeat(gathered: Gathered, minute: Minute): void {
  const { states, usual, settings, tubC, inletC, outletC, differenceK } = minute;
  if (states.pumpOn !== true || states.settling || tubC === null) return;
  const riseK = inletC !== null && outletC !== null ? outletC - inletC : differenceK;
  if (riseK === null) return;
  const lPerMin = minute.lPerMin ?? usual.lPerMin;
  const plane = {
    beam: BEAM_SHARE * minute.clearWPerM2,
    diffuse: (1 - BEAM_SHARE) * minute.clearWPerM2,
    incidence: minute.incidenceDeg,
  };
  gathered.heatMinutes++;
  gathered.heatW += lPerMin * CARRIES_W * riseK;
  gathered.expectedW += loopPowerW(plane, tubC, minute.airC ?? tubC - 20, lPerMin, settings);
}

function judge(
  days: readonly PastDay<Fact>[],
  { settings }: PresentDay,
  limits: typeof LIMITS,
): Finding {
  const { movedAt } = settings.owner;
  const from = movedAt['collector/irradiance'] ?? movedAt['*'] ?? Number.NEGATIVE_INFINITY;
  const valid = days.filter((day) => day.from >= from);
  const newest = valid.at(-1);
  if (!newest) return 'between';
  const state = valid.slice(-STATE.days).filter(({ to }) => newest.to - to < STATE.withinMs);
  const reference = valid.slice(0, valid.length - state.length).slice(0, REFERENCE_DAYS);
  if (state.length < STATE.least || reference.length < LEAST_REFERENCE_DAYS) return 'between';
  const top = (of: readonly PastDay<Fact>[], what: keyof Fact) =>
    quantile(
      of.map(({ fact }) => fact[what]),
      TOP,
    );
  const sun = top(state, 'sun') / top(reference, 'sun');
  const heat = top(state, 'heat') / top(reference, 'heat');
  if (sun >= limits.goneAbove) return 'gone';
  // haze takes more of the heat than of the light
  const isLightAlone = heat >= limits.heatAbove || sun < limits.lightBelow * heat;
  if (sun >= limits.lightBelow || !isLightAlone) return 'between';
  return {
    since: state[0]!.from,
    evidence: { lightShare: sun, heatShare: heat, days: state.length },
  };
}

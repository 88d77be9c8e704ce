import { airOver } from './air.ts';
import type { Span } from './civil-time.ts';
import { effectiveSun, specificPower, WATER_KJ_PER_L_K } from './collector.ts';
import { toldHeat } from './estimate.ts';
import { clearPlaneSun, loopPowerW, measuredPlaneSun } from './expected.ts';
import type { Learned } from './learned.ts';
import type { Quarter } from './ledger.ts';
import type { MeteredHeat } from './metered-heat.ts';
import { nightsWithin } from './night.ts';
import { PIPE_W_PER_M_K } from './pipe.ts';
import { HOUR, QUARTER } from './readings.ts';
import type { Basis } from './shapes.ts';
import { sunPosition, sunTimes } from './sun.ts';
import type { TubSettings } from './tub-settings.ts';

/**
 * How well a loop does by the sun of a day. Two ways, since few loops have a sensor in the collectors'
 * plane: against the data sheet by measured sun, in the manner of ISO 24194; and against a clear sky,
 * where cloud only lowers, so that the best half hour of a day tells, and only by comparison with the
 * loop's own past (`own-history.ts`).
 *
 * Both look at half hours of two adjacent quarters of the ledger, after a quarter in which the pump ran
 * too, so that the loop has settled. Of what happens within a quarter they see the mean alone: a half
 * hour counts as steady when its two quarters are alike.
 */
export interface Performance {
  /**
   * Highest heat of a steady half hour, as a share of what a clear sky would have brought; null on a
   * day without one, or with a noon sun so low that haze and hills decide.
   */
  envelope: number | null;
  /** How the envelope's heat is known; with estimated heat it wanders by a tenth more. */
  basis: Basis;
  /** Sums over all half hours that can be held against the data sheet; null without any. */
  measured: DataSheetCheck | null;
  /** Highest irradiance of a half hour around noon, as a share of a clear sky's; null without a sensor. */
  irradiance: number | null;
  /** Height of the sun at noon, which seasons are told by. [°] */
  noonDeg: number;
}

/** Heat that the loop brought, and what its collectors should have, factors of safety taken off. */
export interface DataSheetCheck {
  kwh: number;
  estimatedKwh: number;
  windows: number;
}

/** What a half hour needs to count: the envelope's, after published detectors of clear sky by smoothness. */
const ENVELOPE = { leastW: 300, leastSun: 500, steadyTo: 0.08, mostRatio: 1.15, lowestNoonDeg: 20 };
/** ISO 24194 asks for hours, 800 W/m², 30° and 5 K: more than a small loop's days hold. */
const DATA_SHEET = { leastSun: 500, widestDeg: 50, driftK: 3 };
/** Collectors without glass hang on wind and sky, of which nothing is heard. [W/(m²·K)] */
const UNGLAZED_A1 = 9;
/** Pipes, measuring, and the rest, by published examples of ISO 24194: together 0.90. */
const SAFETY = { pipes: 0.97, measuring: 0.95, rest: 0.98 };
const SAFE = SAFETY.pipes * SAFETY.measuring * SAFETY.rest;
/** Half hours, and days that they come from, before a performance ratio says anything. */
const LEAST = { windows: 10, days: 3 };
const AROUND_NOON_MS = 1.5 * HOUR;

/** A settled quarter hour with all that a check needs. */
interface Settled {
  quarter: Quarter;
  told: MeteredHeat;
  powerW: number;
  tubC: number;
  airC: number;
}

/**
 * What a local day tells of the loop's performance.
 *
 * @param quarters  the ledger of the day, in order
 * @param learned  its flow is the one that a clear sky's heat is expected at; for the envelope's own
 *   history one that stays the same is best, as from the set-up
 */
export function performanceOf(
  quarters: readonly Quarter[],
  day: Span,
  settings: TubSettings,
  learned: Learned,
): Performance {
  const { latitude, longitude, elevationM } = settings.place;
  const noon = sunTimes(day.from, day.to, latitude, longitude).noon ?? (day.from + day.to) / 2;
  const noonDeg = sunPosition(noon, latitude, longitude, elevationM).elevationDeg;
  const windows = halfHours(settled(quarters, day, settings, learned));
  return {
    ...envelopeOf(noonDeg < ENVELOPE.lowestNoonDeg ? [] : windows, settings, learned),
    measured: againstDataSheet(windows, settings),
    irradiance: noonDeg < ENVELOPE.lowestNoonDeg ? null : irradianceShare(quarters, noon, settings),
    noonDeg,
  };
}

/**
 * The performance ratio over some days in the manner of ISO 24194: heat over what the data sheet lets
 * expect, factors of safety taken off, so that a sound loop reaches 1.
 *
 * @returns null below ten half hours of three days
 */
export function performanceRatio(days: readonly Performance[]): number | null {
  const checks = days.flatMap(({ measured }) => measured ?? []);
  const sum = (of: (check: DataSheetCheck) => number) =>
    checks.reduce((total, check) => total + of(check), 0);
  if (checks.length < LEAST.days || sum(({ windows }) => windows) < LEAST.windows) return null;
  return sum(({ kwh }) => kwh) / sum(({ estimatedKwh }) => estimatedKwh);
}

const isRunning = ({ pumpOnMs }: Quarter): boolean => pumpOnMs > 0.999 * QUARTER;

/** The quarters in which the pump ran throughout, as it did in the one before; null for all others. */
function settled(
  quarters: readonly Quarter[],
  day: Span,
  settings: TubSettings,
  learned: Learned,
): (Settled | null)[] {
  const { place } = settings;
  const air = airOver(
    quarters,
    nightsWithin(day.from, day.to, place.latitude, place.longitude),
    settings,
  ).airC;
  return quarters.map((quarter, i) => {
    const before = quarters[i - 1];
    if (!before || before.from !== quarter.from - QUARTER) return null;
    if (!isRunning(before) || !isRunning(quarter) || quarter.tubC === null) return null;
    const told = toldHeat(quarter, learned);
    if (told.gainKwh === null || told.lostKwh === null) return null;
    if (told.coveredMs < 0.95 * QUARTER) return null;
    const powerW = (told.gainKwh - told.lostKwh) * 4000;
    return { quarter, told, powerW, tubC: quarter.tubC, airC: air[i]! };
  });
}

/** Half hours that do not overlap, from the first settled quarter of each run on. */
function halfHours(quarters: readonly (Settled | null)[]): [Settled, Settled][] {
  const pairs: [Settled, Settled][] = [];
  for (let i = 1; i < quarters.length; i++) {
    const [first, second] = [quarters[i - 1], quarters[i]];
    if (first && second && second.quarter.from === first.quarter.from + QUARTER) {
      pairs.push([first, second]);
      i++;
    }
  }
  return pairs;
}

const mean = (a: number, b: number): number => (a + b) / 2;

/** Highest ratio of the steady half hours; more than any clear sky gives comes from a cloud's edge. */
function envelopeOf(
  windows: readonly [Settled, Settled][],
  settings: TubSettings,
  learned: Learned,
): Pick<Performance, 'envelope' | 'basis'> {
  let best: Pick<Performance, 'envelope' | 'basis'> = { envelope: null, basis: null };
  for (const [first, second] of windows) {
    const powerW = mean(first.powerW, second.powerW);
    const spread = Math.abs(first.powerW - second.powerW) / Math.SQRT2;
    if (!(powerW > 0) || spread / powerW >= ENVELOPE.steadyTo) continue;
    const [a, b] = [clearHeat(first, settings, learned), clearHeat(second, settings, learned)];
    const expectedW = mean(a.powerW, b.powerW);
    if (expectedW < ENVELOPE.leastW || mean(a.sun, b.sun) < ENVELOPE.leastSun) continue;
    const ratio = powerW / expectedW;
    if (ratio > ENVELOPE.mostRatio || ratio <= (best.envelope ?? 0)) continue;
    best = { envelope: ratio, basis: first.told.basis };
  }
  return best;
}

/** What a clear sky would bring, and its sun in the plane [W, W/m²]. */
function clearHeat({ quarter, tubC, airC }: Settled, settings: TubSettings, learned: Learned) {
  const sun = clearPlaneSun(quarter.from + QUARTER / 2, settings);
  if (!sun) return { powerW: 0, sun: 0 };
  const powerW = loopPowerW(sun, tubC, airC, learned.flowLPerMin.value, settings);
  return { powerW, sun: sun.beam + sun.diffuse };
}

function againstDataSheet(
  windows: readonly [Settled, Settled][],
  settings: TubSettings,
): DataSheetCheck | null {
  if (!settings.said.dataSheet || settings.collectors.a1 > UNGLAZED_A1) return null;
  const check = { kwh: 0, estimatedKwh: 0, windows: 0 };
  for (const [first, second] of windows) {
    const a = byDataSheet(first, settings);
    const b = byDataSheet(second, settings);
    if (!a || !b || mean(a.sun, b.sun) < DATA_SHEET.leastSun) continue;
    // The middles of the two quarters are half of the half hour apart.
    if (2 * Math.abs(a.meanC - b.meanC) > DATA_SHEET.driftK) continue;
    check.kwh += (first.powerW + second.powerW) / 4000;
    check.estimatedKwh += (a.watts + b.watts) / 4000;
    check.windows++;
  }
  return check.windows > 0 ? check : null;
}

/**
 * Heat by the data sheet: area · (η₀ · (K_b · G_b + K_d · G_d) − a₁ · (T_m − T_a) − a₂ · (T_m − T_a)²) less
 * what the pipes lose, times the factors of safety. The ledger has no loop temperatures, so T_m comes
 * from the tub's and half of what heat and litres say of the difference. What the collectors take to
 * warm up is left out: within the drift allowed it is some 3 %, and falls either way.
 */
function byDataSheet({ quarter, told, powerW, tubC }: Settled, settings: TubSettings) {
  const { sunKwhPerM2, airC, litres, from } = quarter;
  if (sunKwhPerM2 === null || airC === null || !litres || told.basis !== 'measured') return null;
  const sun = measuredPlaneSun(clearPlaneSun(from + QUARTER / 2, settings), sunKwhPerM2);
  if (!sun || sun.incidence > DATA_SHEET.widestDeg) return null;
  const { collectors, loop } = settings;
  const { count, areaM2, eta0, a1, a2 } = collectors;
  const meanC = tubC + (powerW / 4 / litres) * (3.6 / WATER_KJ_PER_L_K / 2);
  const taken = effectiveSun(collectors, sun.beam, sun.diffuse, sun.incidence);
  const collectorW = count * areaM2 * specificPower(eta0, a1, a2, taken, meanC - airC);
  const pipesW = PIPE_W_PER_M_K * loop.pipeMetres * (meanC - airC);
  return { watts: SAFE * (collectorW - pipesW), meanC, sun: sun.beam + sun.diffuse };
}

/** Highest share of a clear sky's light that a half hour around noon had. */
function irradianceShare(
  quarters: readonly Quarter[],
  noon: number,
  settings: TubSettings,
): number | null {
  let best: number | null = null;
  for (let i = 1; i < quarters.length; i++) {
    const [a, b] = [quarters[i - 1]!, quarters[i]!];
    if (b.from !== a.from + QUARTER || Math.abs(b.from - noon) > AROUND_NOON_MS) continue;
    if (a.sunKwhPerM2 === null || b.sunKwhPerM2 === null) continue;
    const clear = clearPlaneSun(b.from, settings);
    if (!clear) continue;
    const share = (2000 * (a.sunKwhPerM2 + b.sunKwhPerM2)) / (clear.beam + clear.diffuse);
    if (share <= ENVELOPE.mostRatio && share > (best ?? 0)) best = share;
  }
  return best;
}

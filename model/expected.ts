import { airOver } from './air.ts';
import type { Span } from './civil-time.ts';
import { clearSky, dayOfYear, extraterrestrial } from './clear-sky.ts';
import { arrayPower } from './collector.ts';
import type { Learned } from './learned.ts';
import type { Quarter } from './ledger.ts';
import { nightsWithin } from './night.ts';
import { PIPE_W_PER_M_K } from './pipe.ts';
import { planeIrradiance } from './plane-of-array.ts';
import { QUARTER } from './readings.ts';
import { incidenceDeg, sunPosition } from './sun.ts';
import type { TubSettings } from './tub-settings.ts';

/** What the loop could bring on a day, and the sun that it rests on. */
export interface Expected {
  /** Heat to the tub: with a sensor in the plane from its sun, else from a clear sky. */
  expectedKwh: number;
  /** Irradiation in the collectors' plane: as measured throughout, else that of a clear sky. */
  sunKwhPerM2: number;
}

/** Sun in the collectors' plane as the glass sees it [W/m²]. */
export interface PlaneSun {
  beam: number;
  diffuse: number;
  incidence: number; // of the beam on the plane [°]
}

/** How many instants of one set-up are kept: some five weeks of quarter hours. */
const KEPT_INSTANTS = 4000;
const kept = new WeakMap<TubSettings, Map<number, PlaneSun | null>>();

/**
 * The sun of a clear sky in the collectors' plane at an instant; null below the horizon. The same
 * quarter hours are asked for again and again, and where the sun stood then costs most of a look ahead.
 */
export function clearPlaneSun(t: number, settings: TubSettings): PlaneSun | null {
  let instants = kept.get(settings);
  if (!instants || instants.size >= KEPT_INSTANTS) {
    instants = new Map();
    kept.set(settings, instants);
  }
  let sun = instants.get(t);
  if (sun === undefined) {
    sun = planeSunAt(t, settings);
    instants.set(t, sun);
  }
  return sun;
}

function planeSunAt(t: number, { place, collectors }: TubSettings): PlaneSun | null {
  const sun = sunPosition(t, place.latitude, place.longitude, place.elevationM);
  const zenith = 90 - sun.apparentElevationDeg;
  if (zenith >= 90) return null;
  const day = dayOfYear(t);
  const incidence = incidenceDeg(sun, collectors.tiltDeg, collectors.azimuthDeg);
  const sky = clearSky(zenith, day, place.elevationM);
  const plane = planeIrradiance(sky, extraterrestrial(day), zenith, incidence, collectors.tiltDeg);
  return {
    beam: plane.beam + plane.circumsolar,
    diffuse: plane.isotropic + plane.ground,
    incidence,
  };
}

/** Heat that the loop brings to the tub by a sun in the plane [W], less what its pipes lose. */
export function loopPowerW(
  sun: PlaneSun,
  tubC: number,
  airC: number,
  flowLPerMin: number,
  { collectors, loop }: TubSettings,
): number {
  const { powerW, outletC } = arrayPower(collectors, {
    sunBeam: sun.beam,
    sunDiffuse: sun.diffuse,
    incidenceDeg: sun.incidence,
    airC,
    inletC: tubC,
    flowLPerMin,
  });
  const pipesC = ((outletC ?? tubC) + tubC) / 2;
  return powerW - PIPE_W_PER_M_K * loop.pipeMetres * (pipesC - airC);
}

/** Where the tub was not heard its wanted temperature stands for it. */
export function expectedOn(given: {
  settings: TubSettings;
  learned: Learned;
  quarters: readonly Quarter[];
  day: Span;
  /** Only what has come of the day is expected of it. */
  present: number;
}): Expected {
  const { settings, learned, quarters, day, present } = given;
  const { latitude, longitude } = settings.place;
  const nights = nightsWithin(day.from, day.to, latitude, longitude);
  const air = airOver(quarters, nights, settings).airC;
  const heard = new Map(quarters.map((quarter, i) => [quarter.from, { quarter, airC: air[i]! }]));
  let [expectedKwh, sunKwhPerM2] = [0, 0];
  let last = { tubC: settings.tub.targetC, airC: air[0] ?? 12 };
  for (let t = day.from; t < Math.min(day.to, present); t += QUARTER) {
    const here = heard.get(t);
    last = { tubC: here?.quarter.tubC ?? last.tubC, airC: here?.airC ?? last.airC };
    const sun = measuredPlaneSun(
      clearPlaneSun(t + QUARTER / 2, settings),
      here?.quarter.sunKwhPerM2 ?? null,
    );
    if (!sun) continue;
    sunKwhPerM2 += ((sun.beam + sun.diffuse) * 0.25) / 1000;
    const powerW = loopPowerW(sun, last.tubC, last.airC, learned.flowLPerMin.value, settings);
    if (powerW > 0) expectedKwh += (powerW * 0.25) / 1000;
  }
  return { expectedKwh, sunKwhPerM2 };
}

/** How much faster than all light its beam goes as clouds come. */
const BEAM_GOES = 1.6;

/**
 * A clear sky's sun scaled to what a sensor in the plane measured in the quarter hour: clouds take the
 * beam first. But what they take of the beam is never more than what they take of all light: a grazing
 * beam warms less than light from all the sky, and more sun would else be expected to bring less heat.
 */
export function measuredPlaneSun(clear: PlaneSun | null, kwhPerM2: number | null): PlaneSun | null {
  if (!clear || kwhPerM2 === null) return clear;
  const [watts, clearW] = [kwhPerM2 * 4000, clear.beam + clear.diffuse];
  if (clearW < 1) return { ...clear, beam: 0, diffuse: Math.max(0, watts) };
  const missing = 1 - watts / clearW;
  const taken = missing > 0 ? Math.min(BEAM_GOES * clear.beam, clearW) : clear.beam;
  const beam = Math.max(0, clear.beam - missing * taken);
  return { ...clear, beam, diffuse: Math.max(0, watts - beam) };
}

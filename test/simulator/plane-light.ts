import type { Shade, SolarArrayTraits } from './house.ts';
import type { Weather } from './weather.ts';

/** Light on a tilted plane. */
export interface PlaneLight {
  /** All of it [W/m²], as a sensor beside the collectors reads it. */
  allWm2: number;
  /** What passes the glass and counts for `eta0` [W/m²]. */
  takenWm2: number;
}

const rad = Math.PI / 180;
const GROUND = 0.2; // share of the light that the ground sends back
const DIFFUSE_TAKEN = 0.92; // light from all sides passes the glass less well

/** Brings light from the level to the collectors' plane (Hay and Davies), with what stands before it. */
export class Plane {
  private readonly sinTilt: number;
  private readonly cosTilt: number;
  private readonly azimuthDeg: number;
  private readonly slant: number;
  private readonly shade: readonly Shade[];
  private readonly now: PlaneLight = { allWm2: 0, takenWm2: 0 };

  constructor({ tiltDeg, azimuthDeg, slant }: SolarArrayTraits, shade: readonly Shade[]) {
    this.sinTilt = Math.sin(tiltDeg * rad);
    this.cosTilt = Math.cos(tiltDeg * rad);
    this.azimuthDeg = azimuthDeg;
    this.slant = slant;
    this.shade = shade;
  }

  /** The object is used again. */
  light({ sun, beamWm2, diffuseWm2, globalWm2 }: Weather): PlaneLight {
    const { now } = this;
    if (globalWm2 <= 0) {
      [now.allWm2, now.takenWm2] = [0, 0];
      return now;
    }
    const level = Math.sqrt(1 - sun.sin * sun.sin);
    const cosAway = Math.cos((sun.azimuthDeg - this.azimuthDeg) * rad);
    const cos = Math.max(0, sun.sin * this.cosTilt + level * this.sinTilt * cosAway);
    const passes = this.passes(sun.azimuthDeg, Math.asin(sun.sin) / rad);
    const bright = Math.min(1, beamWm2 / sun.spaceWm2);
    const around = Math.min(5, cos / Math.max(sun.sin, 0.087)) * passes;
    const sky = diffuseWm2 * (bright * around + (1 - bright) * 0.5 * (1 + this.cosTilt));
    const ground = globalWm2 * GROUND * 0.5 * (1 - this.cosTilt);
    const beam = beamWm2 * cos * passes;
    const glass = cos > 0.02 ? Math.max(0, 1 - this.slant * (1 / cos - 1)) : 0;
    now.allWm2 = beam + sky + ground;
    now.takenWm2 = beam * glass + (sky + ground) * DIFFUSE_TAKEN;
    return now;
  }

  private passes(azimuthDeg: number, elevationDeg: number): number {
    let share = 1;
    for (const { fromAzimuthDeg, toAzimuthDeg, belowDeg, passes } of this.shade) {
      const width = (toAzimuthDeg - fromAzimuthDeg + 360) % 360;
      const into = (azimuthDeg - fromAzimuthDeg + 360) % 360;
      if (into < width && elevationDeg < belowDeg) share *= passes;
    }
    return share;
  }
}

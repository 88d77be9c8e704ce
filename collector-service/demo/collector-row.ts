import { demoTub } from './place.ts';
import type { Weather } from './sky.ts';
import { waterHeat } from './water.ts';

const { count, areaM2, eta0, a1, a2 } = demoTub.collectors;
const waterKg = 0.6; // in one collector
const heatJPerK = areaM2 * 5000 + waterKg * waterHeat; // one collector with its water
const boilsC = 100;

/** The collectors in series; each is one well-stirred body at its outlet's temperature. */
export class CollectorRow {
  readonly tempC: Float64Array;
  /** What the last step brought in from the sun, less what went back to the air [J]. */
  collectedJ = 0;
  /** What boiled off in the last step [J]: water that stands in the sun turns to steam and vents. */
  ventedJ = 0;

  constructor(startC: number) {
    this.tempC = new Float64Array(count).fill(startC);
  }

  /** One step with `kg` of water coming in at `inletC`; gives the outlet's temperature [°C]. */
  step(weather: Weather, kg: number, inletC: number, seconds: number): number {
    // Glass looks at the sky, which is colder than the air where no cloud covers it.
    const aroundC = weather.airC - 2.5 * weather.clearness;
    const sunJ = areaM2 * eta0 * weather.planeWm2 * seconds;
    const carriedJPerK = kg * waterHeat;
    this.collectedJ = 0;
    this.ventedJ = 0;
    let incomingC = inletC;
    for (let i = 0; i < count; i++) {
      const before = this.tempC[i]!;
      const lossJPerK = areaM2 * (a1 + a2 * Math.abs(before - aroundC)) * seconds;
      // Solved for the end of the step, so that a long step cannot overshoot.
      const solved =
        (heatJPerK * before + sunJ + lossJPerK * aroundC + carriedJPerK * incomingC) /
        (heatJPerK + lossJPerK + carriedJPerK);
      const after = Math.min(solved, boilsC);
      const collected = sunJ - lossJPerK * (after - aroundC);
      this.collectedJ += collected;
      if (solved > boilsC) {
        this.ventedJ +=
          collected + carriedJPerK * (incomingC - after) - heatJPerK * (after - before);
      }
      this.tempC[i] = after;
      incomingC = after;
    }
    return incomingC;
  }

  get outletC(): number {
    return this.tempC[count - 1]!;
  }

  /** Heat in the collectors above 0 °C [J]. */
  get storedJ(): number {
    return heatJPerK * this.tempC.reduce((sum, tempC) => sum + tempC, 0);
  }
}

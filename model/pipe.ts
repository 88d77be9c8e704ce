import { WATER_KJ_PER_L_K } from './collector.ts';

/** Pipes between tub and collectors: what they lose, and how long water is under way. */

/**
 * Loss of a metre of pipe where nothing else is known [W/(m·K)]: a thin pipe in 13 mm of foam. Well
 * wrapped pipe loses about 0.15; bare pipe in the wind 0.6 to 1.2.
 */
export const PIPE_W_PER_M_K = 0.25;

export interface Insulation {
  pipeM: number; // outer diameter of the pipe
  outerM: number; // outer diameter of the insulation; the pipe's own where it is bare
  wPerMK: number; // conductivity of the insulation, e.g. 0.035…0.04 for foam
  /** Heat transfer from the surface to the air [W/(m²·K)], about 10; null: surface as cold as the air. */
  surfaceWPerM2K: number | null;
}

/** Resistance of a metre of insulation to heat [m·K/W]; the pipe's own wall is left out. */
export const insulationMKPerW = ({ pipeM, outerM, wPerMK }: Insulation): number =>
  Math.log(outerM / pipeM) / (2 * Math.PI * wPerMK);

/** Resistance between a metre's surface and the air [m·K/W]. */
export const surfaceMKPerW = ({ outerM, surfaceWPerM2K }: Insulation): number =>
  surfaceWPerM2K === null ? 0 : 1 / (Math.PI * outerM * surfaceWPerM2K);

/**
 * Loss of a metre of insulated pipe.
 *
 * @returns W/(m·K), e.g. 0.24 for 22 mm pipe in 13 mm of foam
 *
 * Valid for: dry insulation without gaps; clips, valves and wet foam add a fifth to a half.
 * Source: ISO 12241, cylinders. Checked by: test/physics/pipe.test.ts.
 */
export const insulatedPipeWPerMK = (insulation: Insulation): number =>
  1 / (insulationMKPerW(insulation) + surfaceMKPerW(insulation));

/**
 * Temperature of the water at the far end of a pipe.
 *
 * @param inC  where it enters
 * @param airC  around the pipe
 * @param lossWPerK  loss of the whole length: metres times W/(m·K)
 * @param rateWPerK  heat that the flow carries per kelvin, above 0
 * @returns °C, between the two; the pipe's loss is `rateWPerK · (inC − result)`, below 0 where it gains
 *
 * Valid for: steady flow; after a start the pipe itself has to warm first.
 * Source: energy balance along the pipe, exponential. Checked by: test/physics/pipe.test.ts.
 */
export function pipeEndC(inC: number, airC: number, lossWPerK: number, rateWPerK: number): number {
  return airC + (inC - airC) * Math.exp(-lossWPerK / rateWPerK);
}

/** The other way round: the temperature at which water entered that leaves at `endC`. */
export function pipeStartC(
  endC: number,
  airC: number,
  lossWPerK: number,
  rateWPerK: number,
): number {
  return airC + (endC - airC) * Math.exp(lossWPerK / rateWPerK);
}

/** Water in a pipe [l]. */
export const pipeLitres = (metres: number, innerDiameterM: number): number =>
  250 * Math.PI * innerDiameterM * innerDiameterM * metres;

/** How long water takes through a volume [s]; null without flow. */
export const transitSeconds = (litres: number, flowLPerMin: number): number | null =>
  flowLPerMin > 0 ? (60 * litres) / flowLPerMin : null;

/**
 * How long a front of hot water takes through a pipe: it warms the pipe's wall on its way.
 *
 * @param litres  water in the pipe
 * @param wallKJPerK  heat capacity of the pipe's wall: about 0.7 kJ/K for a litre of water in 15 mm
 *   copper, 1.5 in 16 mm polyethylene
 * @returns s, the mean over the front's gradual rise; null without flow
 *
 * Accuracy: 1 % against 39 m of steel pipe on a test bench. Checked by: test/physics/pipe.test.ts.
 */
export function frontSeconds(
  litres: number,
  wallKJPerK: number,
  flowLPerMin: number,
): number | null {
  return transitSeconds(litres + wallKJPerK / WATER_KJ_PER_L_K, flowLPerMin);
}

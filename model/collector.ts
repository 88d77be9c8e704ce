/**
 * Collectors by ISO 9806: heat per square metre η₀·G − a₁·x − a₂·x², with x the mean water
 * temperature less the air's. The area must be the one that the data sheet's figures are for; the
 * set-up takes gross area. Figures with the inlet temperature in place of the mean are another form:
 * see `collectors-in-series.ts`.
 */

const RADIANS = Math.PI / 180;

/** Heat that a litre of water carries per kelvin [kJ/(l·K)], at 39 °C; from 20 to 60 °C within 0.9 %. */
export const WATER_KJ_PER_L_K = 4.15;

/** The fall of η₀ with the angle for one plain glass cover, where the data sheet does not tell. */
export const SINGLE_GLASS_B0 = 0.1;

/** Light from all directions reaches the absorber as beam light at about this angle does. */
const DIFFUSE_DEG = 60;

/** Heat that a loop carries away per kelvin of warming [W/K]. */
export const capacityRate = (flowLPerMin: number): number =>
  (flowLPerMin * WATER_KJ_PER_L_K * 1000) / 60;

/**
 * Heat from one square metre.
 *
 * @param sun  irradiance in the plane times the incidence-angle modifier [W/m²]
 * @param aboveAirK  mean water temperature less air temperature; negative for a collector colder
 *   than the air, which then gains
 * @returns W/m²; negative where the collector loses more than the sun brings
 *
 * Source: ISO 9806, steady state.
 */
export function specificPower(
  eta0: number,
  a1: number,
  a2: number,
  sun: number,
  aboveAirK: number,
): number {
  return eta0 * sun - a1 * aboveAirK - a2 * aboveAirK * aboveAirK;
}

/** Share of the sun that becomes heat, below 0 where losses win; null without sun. */
export function efficiency(
  eta0: number,
  a1: number,
  a2: number,
  sun: number,
  aboveAirK: number,
): number | null {
  return sun > 0 ? specificPower(eta0, a1, a2, sun, aboveAirK) / sun : null;
}

/**
 * Temperature that a collector reaches when nothing carries its heat away: 140 to 170 °C for a good
 * flat plate in full sun. Water in it boils and comes out as steam when flow returns.
 *
 * @param airC  air temperature
 * @returns °C; null where there is no such temperature (no losses at all)
 *
 * Source: ISO 9806, positive root of η₀·G = a₁·x + a₂·x²; a falling a₂ is taken as given.
 */
export function stagnationC(
  eta0: number,
  a1: number,
  a2: number,
  sun: number,
  airC: number,
): number | null {
  const heat = eta0 * Math.max(0, sun);
  if (heat === 0) return airC;
  const square = a1 * a1 + 4 * a2 * heat;
  if (square < 0) return null;
  const denominator = a1 + Math.sqrt(square);
  return denominator > 0 ? airC + (2 * heat) / denominator : null;
}

/**
 * Incidence-angle modifier of glass: what is left of η₀ for beam light that falls in at an angle.
 *
 * @param b0  e.g. 0.1 for one glass cover
 * @param b1  second coefficient of older ratings, ≤ 0
 * @returns 1 for light from straight ahead … 0
 *
 * Valid for: 0…60 degrees; beyond it falls on to 0, reached at 85 degrees for b0 = 0.1.
 * Source: 1 − b₀·(1/cos θ − 1), Souka and Safwat 1966, as in Duffie and Beckman.
 */
export function incidenceModifier(b0: number, incidenceDeg: number, b1 = 0): number {
  const cosine = Math.cos(incidenceDeg * RADIANS);
  if (cosine <= 0) return 0;
  const s = 1 / cosine - 1;
  return Math.max(0, 1 - s * (b0 - b1 * s));
}

/** b0 from the modifier that data sheets give for 50 degrees. */
export const b0From50 = (modifierAt50: number): number =>
  (1 - modifierAt50) / (1 / Math.cos(50 * RADIANS) - 1);

/**
 * Incidence-angle modifier from a data sheet's table, straight between its angles.
 *
 * @param angles  degrees, ascending; the first value also holds below the first angle
 * @param modifiers  one for each angle; may exceed 1 (tubes)
 * @returns beyond the last angle a straight line to 0 at 90 degrees
 */
export function tableModifier(
  angles: readonly number[],
  modifiers: readonly number[],
  incidenceDeg: number,
): number {
  if (incidenceDeg >= 90) return 0;
  let i = 0;
  while (i < angles.length && angles[i]! < incidenceDeg) i++;
  if (i === 0) return modifiers[0]!;
  const [a, from] = [angles[i - 1]!, modifiers[i - 1]!];
  const [b, to] = i < angles.length ? [angles[i]!, modifiers[i]!] : [90, 0];
  return from + ((to - from) * (incidenceDeg - a)) / (b - a);
}

/**
 * How far the mean temperature of one collector stands above the air, from its inlet and the flow.
 *
 * Solves area·(η₀·G − a₁·x − a₂·x²) = 2·rate·(x − inlet above air), whose other root is no physical one.
 *
 * @param gains  area·η₀·G [W]
 * @param linear  area·a₁ [W/K]
 * @param square  area·a₂ [W/K²]
 * @param rate  heat that the flow carries per kelvin, above 0 [W/K]
 * @param inletAboveAirK  inlet less air temperature
 */
function meanAboveAir(
  gains: number,
  linear: number,
  square: number,
  rate: number,
  inletAboveAirK: number,
): number {
  const b = linear + 2 * rate;
  const c = gains + 2 * rate * inletAboveAirK;
  return (2 * c) / (b + Math.sqrt(Math.max(0, b * b + 4 * square * c)));
}

export interface CollectorArray {
  count: number; // collectors in a row, one after the other
  areaM2: number; // of one, of the kind that η₀ is for
  eta0: number;
  a1: number; // W/(m²·K)
  a2: number; // W/(m²·K²)
  /** Fall of η₀ with the angle; one glass cover where absent. */
  b0?: number;
}

export interface CollectorConditions {
  sunBeam: number; // beam and circumsolar light in the plane, W/m²
  sunDiffuse: number; // light from the rest of the sky and the ground, W/m²
  incidenceDeg: number; // angle of the beam to the plane's normal
  airC: number;
  inletC: number;
  flowLPerMin: number;
}

export interface ArrayPower {
  powerW: number;
  /** Water on its way back to the tub; null without flow. */
  outletC: number | null;
}

/** Sun in the plane less what the glass keeps of it at that angle [W/m²]. */
export function effectiveSun(
  array: CollectorArray,
  sunBeam: number,
  sunDiffuse: number,
  incidenceDeg: number,
): number {
  const b0 = array.b0 ?? SINGLE_GLASS_B0;
  return (
    incidenceModifier(b0, incidenceDeg) * sunBeam + incidenceModifier(b0, DIFFUSE_DEG) * sunDiffuse
  );
}

/**
 * Heat that a row of equal collectors gives to the water, and how warm it leaves.
 *
 * @returns W and °C; negative power where the row cools the water; 0 and null without flow
 *
 * Valid for: steady state. What stands in the collectors when the pump starts is not in it.
 * Accuracy: the data sheet's, some 5 %. The water's heat per litre is taken as constant, which
 * moves the power by less than 0.1 %, the warming by up to 0.9 %.
 * Source: ISO 9806, collector after collector. Checked by: test/physics/collector.test.ts.
 */
export function arrayPower(array: CollectorArray, now: CollectorConditions): ArrayPower {
  const rate = capacityRate(now.flowLPerMin);
  if (!(rate > 0)) return { powerW: 0, outletC: null };
  const sun = effectiveSun(array, now.sunBeam, now.sunDiffuse, now.incidenceDeg);
  const outletC = rowOutletC(array, sun, now.airC, now.inletC, rate);
  return { powerW: rate * (outletC - now.inletC), outletC };
}

/**
 * Temperature behind the last collector of a row, for a sun that the glass has already dimmed; with a
 * smaller count, behind that collector.
 *
 * @param rateWPerK  `capacityRate` of the flow, above 0
 */
export function rowOutletC(
  { count, areaM2, eta0, a1, a2 }: CollectorArray,
  sun: number,
  airC: number,
  inletC: number,
  rateWPerK: number,
): number {
  const gains = areaM2 * eta0 * sun;
  let aboveAirK = inletC - airC;
  for (let i = 0; i < count; i++) {
    const mean = meanAboveAir(gains, areaM2 * a1, areaM2 * a2, rateWPerK, aboveAirK);
    aboveAirK = 2 * mean - aboveAirK;
  }
  return airC + aboveAirK;
}

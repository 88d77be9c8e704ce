/**
 * Collectors rated by their inlet temperature: heat = area·(FRτα·G − FRUL·(inlet − air)). The form
 * of older and of North American data sheets, and the one in which a row of collectors, equal or not,
 * adds up to one. ISO 9806 figures (mean temperature) become it for one flow by `toInletForm`; a₂ has
 * no place in it, so take a₁ + a₂·(expected mean temperature less air) for a₁.
 *
 * Source: Duffie and Beckman, Solar Engineering of Thermal Processes, chapters 6 and 10.
 * Checked by: test/physics/collector.test.ts.
 */

/** A K so small that flow and row length change nothing. */
const NO_LOSS = 1e-12;

export interface InletForm {
  areaM2: number;
  frta: number; // FRτα, 1
  frul: number; // FRUL, W/(m²·K)
}

/** Turns linear figures for the mean temperature into inlet form at a flow's heat rate [W/K]. */
export function toInletForm(
  areaM2: number,
  eta0: number,
  a1: number,
  rateWPerK: number,
): InletForm {
  const factor = 1 / (1 + (areaM2 * a1) / (2 * rateWPerK));
  return { areaM2, frta: factor * eta0, frul: factor * a1 };
}

/** Heat from a collector or a row in inlet form [W]; negative where it loses. */
export function inletPower(one: InletForm, sun: number, airC: number, inletC: number): number {
  return one.areaM2 * (one.frta * sun - one.frul * (inletC - airC));
}

/** K of the book: by how many kelvins less a collector warms the water for each kelvin that it comes in warmer. */
export const seriesLoss = (one: InletForm, rateWPerK: number): number =>
  (one.areaM2 * one.frul) / rateWPerK;

/** Two in series, the first in the direction of flow first, as one; a longer row folds up so. */
export function inSeries(first: InletForm, second: InletForm, rateWPerK: number): InletForm {
  const left = 1 - seriesLoss(second, rateWPerK);
  const areaM2 = first.areaM2 + second.areaM2;
  return {
    areaM2,
    frta: (first.areaM2 * first.frta * left + second.areaM2 * second.frta) / areaM2,
    frul: (first.areaM2 * first.frul * left + second.areaM2 * second.frul) / areaM2,
  };
}

/** A row of equal collectors as one. */
export function identicalInSeries(one: InletForm, count: number, rateWPerK: number): InletForm {
  const factor = seriesFactor(seriesLoss(one, rateWPerK), count);
  return { areaM2: count * one.areaM2, frta: factor * one.frta, frul: factor * one.frul };
}

/** What a row of `count` gives of that many side by side, each with the row's flow: (1 − (1 − K)ⁿ)/(n·K). */
export function seriesFactor(loss: number, count: number): number {
  if (Math.abs(loss) < NO_LOSS) return 1;
  const left = loss < 1 ? Math.expm1(count * Math.log1p(-loss)) : (1 - loss) ** count - 1;
  return -left / (count * loss);
}

/**
 * The same collector at another flow: a slower flow runs hotter and loses more.
 *
 * @param testRateWPerK  flow's heat rate at which the figures were measured
 * @param useRateWPerK  the one to use it at
 * @returns null where the figures cannot belong to the test flow (they would cool below the air)
 */
export function atFlow(
  one: InletForm,
  testRateWPerK: number,
  useRateWPerK: number,
): InletForm | null {
  const loss = seriesLoss(one, testRateWPerK);
  if (!(loss < 1)) return null;
  if (Math.abs(loss) < NO_LOSS) return one;
  const uniform = -testRateWPerK * Math.log1p(-loss); // area·F′UL, W/K
  const factor = (-useRateWPerK * Math.expm1(-uniform / useRateWPerK)) / (testRateWPerK * loss);
  return { areaM2: one.areaM2, frta: factor * one.frta, frul: factor * one.frul };
}

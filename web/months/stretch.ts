import type { LogEntryShape } from '../../model/owner-log.ts';
import type { Basis, Day } from '../../model/shapes.ts';
import type { Stretch } from '../../model/year-before.ts';

/** Daily means of what a point told, as far as it was heard. */
export type DailyMeans = readonly { mean: number; count: number }[];

/** The same days of two years need the same sensors: each on nearly all days. */
const NEARLY_ALL = 0.9;
/** So many readings of a day tell of its sun and of its air. */
const ENOUGH_READINGS = 40;

/** What some days of one year tell, to be held against those of another. */
export function stretchOf(told: {
  days: readonly Day[];
  outdoor: DailyMeans;
  irradiance: DailyMeans;
  log: readonly LogEntryShape[];
}): Stretch {
  const days = told.days.filter(({ gainKwh, coverage }) => gainKwh !== null && coverage > 0);
  const wellHeard = (means: DailyMeans) => {
    const good = means.filter(({ count }) => count >= ENOUGH_READINGS);
    return days.length > 0 && good.length >= NEARLY_ALL * days.length ? good : null;
  };
  const outdoor = wellHeard(told.outdoor);
  const baths = told.log.filter(({ kind }) => kind === 'bathing').length;
  return {
    days: days.length,
    gainKwh: sum(days.map(({ gainKwh }) => gainKwh)),
    basis: basisOf(days),
    savedKwh: sum(days.map(({ savedKwh }) => savedKwh)),
    // Without readings of the sensor, a day's sun is that of a clear sky.
    sunKwhPerM2: wellHeard(told.irradiance) && sum(days.map(({ sunKwhPerM2 }) => sunKwhPerM2)),
    outdoorC: outdoor && outdoor.reduce((total, { mean }) => total + mean, 0) / outdoor.length,
    baths: baths === 0 ? null : baths,
  };
}

/** null where one of them is not known: the others would not be the same days. */
function sum(values: readonly (number | null)[]): number | null {
  if (values.length === 0) return null;
  return values.reduce<number | null>(
    (total, value) => (total === null || value === null ? null : total + value),
    0,
  );
}

function basisOf(days: readonly Day[]): Basis {
  const bases = new Set(days.map(({ basis }) => basis).filter((basis) => basis !== null));
  return bases.size > 1 ? 'mixed' : ([...bases][0] ?? null);
}

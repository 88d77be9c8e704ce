/** A flow that was measured [l/min], with its standard uncertainty. */
export interface MeasuredFlow {
  lPerMin: number;
  uncertaintyLPerMin: number;
}

/** Bucket, watch and hand together are no better than this, relative, k = 1. */
const LEAST_BUCKET_UNCERTAINTY = 0.03;

/**
 * The flow that a bucket test tells: as written, else the mean of its fills with the standard error of
 * that mean; null where the data holds neither.
 */
export function flowOf(data: Readonly<Record<string, unknown>>): MeasuredFlow | null {
  const written = numberIn(data, 'lPerMin') ?? numberIn(data, 'flowLPerMin');
  if (written !== null) {
    const uncertainty = numberIn(data, 'uncertaintyLPerMin');
    const least = LEAST_BUCKET_UNCERTAINTY * written;
    return { lPerMin: written, uncertaintyLPerMin: uncertainty ?? least };
  }
  const fills = Array.isArray(data.fills) ? data.fills : [data];
  const flows = fills.map(flowOfFill);
  const told = flows.filter((lPerMin) => lPerMin !== null);
  if (told.length === 0 || told.length < flows.length) return null;
  const mean = told.reduce((sum, lPerMin) => sum + lPerMin, 0) / told.length;
  const squares = told.reduce((sum, lPerMin) => sum + (lPerMin - mean) ** 2, 0);
  const error = told.length < 2 ? 0 : Math.sqrt(squares / (told.length - 1) / told.length);
  const least = LEAST_BUCKET_UNCERTAINTY * mean;
  return { lPerMin: mean, uncertaintyLPerMin: Math.max(error, least) };
}

function flowOfFill(fill: unknown): number | null {
  if (typeof fill !== 'object' || fill === null) return null;
  const litres = numberIn(fill as Record<string, unknown>, 'litres');
  const seconds = numberIn(fill as Record<string, unknown>, 'seconds');
  return litres === null || seconds === null ? null : (60 * litres) / seconds;
}

/** A number above 0 under a key; null where there is none. */
function numberIn(data: Readonly<Record<string, unknown>>, key: string): number | null {
  const value = data[key];
  return typeof value === 'number' && value > 0 && Number.isFinite(value) ? value : null;
}

import { say, words } from '../speech.ts';
import { fetched } from './fetched.ts';
import { points, shown } from './shown-view.ts';
import { tracesWords } from './speech.ts';
import { moments, sameDate, valuesOf } from './told.ts';
import { readAt, type Trace } from './trace.ts';

/** What stands under the finger. */

export interface Row {
  point: string;
  name: string;
  value: string;
  /** From the lowest to the highest, where they differ as they are told. */
  range: string | null;
}

export function rowsAt(t: number): Row[] {
  const traces = new Map(fetched.value?.traces.map((trace) => [trace.point, trace]));
  return points.value.map((point) => {
    const trace = traces.get(point);
    const name = words.points.name(point);
    return { point, name, ...(trace ? valueAt(trace, t) : notHeard()) };
  });
}

const notHeard = () => ({ value: tracesWords.read.notHeard, range: null });

function valueAt(trace: Trace, t: number): Pick<Row, 'value' | 'range'> {
  const found = readAt(trace, t);
  if (found === null) return notHeard();
  const told = valuesOf(trace, words.points, say.value);
  const [low, high] = [told(found.min), told(found.max)];
  const range = low === high ? null : tracesWords.read.range(low, high);
  // A switch has no mean.
  if (trace.kind === 'flag' && range !== null) {
    return { value: tracesWords.read.atTimes(high), range: null };
  }
  return { value: told(found.mean), range };
}

const SHORT = 10 * 60_000; // ms
const DAY = 86_400_000; // ms

/** When that is: an instant, from when to when where a bucket lasts longer than that, or which days. */
export function whenTold(t: number): string {
  const { read } = tracesWords;
  const { bucketMs = SHORT, bucketsFrom = 0 } = fetched.value ?? {};
  const at = moments(shown.value, say.value);
  if (bucketMs <= SHORT) return read.at(at(t));
  const from = bucketsFrom + Math.floor((t - bucketsFrom) / bucketMs) * bucketMs;
  const to = from + bucketMs;
  if (bucketMs >= DAY) {
    // Clocks may have moved since: the day is the one that has most of it.
    const [first, last] = [from, to - DAY].map((day) => at(day + DAY / 2));
    return first === last ? read.on(first!) : read.between(first!, last!);
  }
  return read.between(at(from), sameDate(from, to, say.value) ? say.value.time(to) : at(to));
}

/** All of it as a sentence, for whoever hears it. */
export function readingTold(t: number): string {
  const values = rowsAt(t).map(({ name, value }) => tracesWords.read.value({ name, value }));
  return `${whenTold(t)}: ${values.join('; ')}`;
}

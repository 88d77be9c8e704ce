import { addDays, dayBounds } from '../../model/civil-time.ts';
import { pointType } from '../../model/points.ts';
import { QUARTER } from '../../model/readings.ts';
import { type Html, html } from '../serve/html.ts';
import type { Bucket } from '../store/store.ts';

/** The temperatures of some days as a drawing that needs no code. */

export interface Line {
  point: string;
  name: string;
  buckets: readonly Bucket[];
}

const [WIDTH, HEIGHT] = [720, 300];
const [LEFT, RIGHT, TOP, BOTTOM] = [40, 8, 8, 24];
/** So many stretches a line at most. */
const MOST_BUCKETS = 350;
/** Lines are told apart by their strokes too, in this order. */
const STROKES = 6;
/** What is out of these limits is a sensor's fault, and would press everything else flat [°C]. */
const [LOWEST_C, HIGHEST_C] = [-40, 200];

export interface Span {
  from: number;
  to: number;
}

/** Whole quarter hours, which the store has summed up already. */
export const bucketMs = ({ from, to }: Span): number =>
  Math.ceil((to - from) / MOST_BUCKETS / QUARTER) * QUARTER;

/** What tells a helper how the loop fared; each collector's own warmth stands in the readings. */
export const drawnPoints: readonly string[] = [
  'tub/temperature',
  'collector/temperature',
  'collector/outlet',
  'collector/inlet',
  'outdoor/temperature',
];

/** null where there is nothing to draw. */
export function chart(
  lines: readonly Line[],
  span: Span & { first: string; timeZone: string },
  title: string,
  dayName: (date: string) => string,
): Html | null {
  const drawn = lines.flatMap((line) => {
    const { low, high } = pointType(line.point)!;
    const sound = line.buckets.filter(({ min, max }) => min >= low && max <= high);
    return sound.length === 0 ? [] : [{ ...line, buckets: sound }];
  });
  if (drawn.length === 0) return null;
  const all = drawn.flatMap(({ buckets }) => buckets);
  const reach = (values: number[], least: (...values: number[]) => number) =>
    values.reduce((a, b) => least(a, b));
  const step = stepOf(
    reach(
      all.map(({ max }) => max),
      Math.max,
    ) -
      reach(
        all.map(({ min }) => min),
        Math.min,
      ),
  );
  const lowC = Math.max(
    LOWEST_C,
    Math.floor(
      reach(
        all.map(({ min }) => min),
        Math.min,
      ) / step,
    ) * step,
  );
  const highC = Math.max(
    lowC + step,
    Math.min(
      HIGHEST_C,
      Math.ceil(
        reach(
          all.map(({ max }) => max),
          Math.max,
        ) / step,
      ) * step,
    ),
  );
  const x = (t: number) =>
    fixed(LEFT + ((t - span.from) / (span.to - span.from)) * (WIDTH - LEFT - RIGHT));
  const y = (c: number) =>
    fixed(HEIGHT - BOTTOM - ((c - lowC) / (highC - lowC)) * (HEIGHT - TOP - BOTTOM));
  const marks: Html[] = [];
  for (let c = lowC; c <= highC; c += step) {
    marks.push(
      html`<line class="grid" x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${y(c)}" y2="${y(c)}"></line><text x="${LEFT - 4}" y="${y(c) + 4}" text-anchor="end">${c}°</text>`,
    );
  }
  return html`<figure><svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${title}">
${marks}${dayMarks(span, x, dayName)}
${drawn.map(({ buckets }, n) => html`<path class="line s${n % STROKES}" d="${pathOf(buckets, bucketMs(span), x, y)}"></path>`)}
</svg><figcaption><ul class="key">${drawn.map(({ name }, n) => html`<li><svg viewBox="0 0 32 8" width="32" height="8" aria-hidden="true"><path class="line s${n % STROKES}" d="M0 4H32"></path></svg> ${name}</li>`)}</ul></figcaption></figure>`;
}

const fixed = (value: number): number => Math.round(value * 10) / 10;

const stepOf = (rangeK: number): number =>
  [1, 2, 5, 10, 20, 50].find((step) => rangeK / step <= 7) ?? 100;

function dayMarks(
  span: Span & { first: string; timeZone: string },
  x: (t: number) => number,
  dayName: (date: string) => string,
): Html[] {
  const dates: { date: string; at: number }[] = [];
  for (let date = span.first; ; date = addDays(date, 1)) {
    const { from } = dayBounds(date, span.timeZone);
    if (from >= span.to) break;
    dates.push({ date, at: from });
  }
  const every = Math.ceil(dates.length / 7);
  return dates.map(({ date, at }, n) =>
    n % every === 0
      ? html`<line class="grid" x1="${x(at)}" x2="${x(at)}" y1="${TOP}" y2="${HEIGHT - BOTTOM}"></line><text x="${x(at) + 3}" y="${HEIGHT - 8}">${dayName(date)}</text>`
      : html``,
  );
}

/** Within a stretch from its lowest to its highest, so that a spike stays seen; open over gaps. */
function pathOf(
  buckets: readonly Bucket[],
  widthMs: number,
  x: (t: number) => number,
  y: (c: number) => number,
): string {
  const steps: string[] = [];
  let before: Bucket | null = null;
  for (const bucket of buckets) {
    const joined = before !== null && bucket.from - before.from <= 2 * widthMs;
    const at = x(bucket.from + widthMs / 2);
    steps.push(`${joined ? 'L' : 'M'}${at} ${y(bucket.sum / bucket.count)}`);
    if (bucket.max > bucket.min) {
      steps.push(`M${at} ${y(bucket.min)}V${y(bucket.max)}M${at} ${y(bucket.sum / bucket.count)}`);
    } else if (!joined) steps.push('h1');
    before = bucket;
  }
  return steps.join('');
}

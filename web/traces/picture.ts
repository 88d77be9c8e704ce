import { collectorNumber, type PointKind } from '../../model/points.ts';
import type { Speaker } from '../../model/words/speaker.ts';
import type { TraceChartWords } from '../../model/words/traces-words.ts';
import { niceScale, type Scale } from './scale.ts';
import { toUnits, unitTold } from './told-units.ts';
import { type Bucket, isGap, type Trace } from './trace.ts';
import type { Span } from './view.ts';

/** What is drawn, in the person's units: panels above each other that share one axis of time. */
export interface Picture {
  panels: Panel[];
  nights: readonly Span[];
  marks: readonly Mark[];
}

/** Something that was so at a time: an alert fills its number's sign, an entry of the log leaves it hollow. */
export interface Mark {
  /** null: no sign, the line alone. */
  number: number | null;
  kind: 'alert' | 'entry';
  from: number;
  /** null: it has no length. */
  to: number | null;
}

export type Panel =
  | {
      kind: 'curves';
      title: string;
      main: boolean;
      scale: Scale;
      label(value: number): string;
      lines: Curve[];
    }
  | { kind: 'switch'; title: string; blocks: Block[] };

export interface LineStyle {
  colour: 'sun' | 'water' | 'ink' | 'muted';
  width: number;
  /** Lengths drawn and left out [px]; empty: a whole line. */
  dash: readonly number[];
}

export interface Curve {
  style: LineStyle;
  /** Parts of the line between gaps. */
  pieces: Vertex[][];
}

/** One bucket of a line, at its middle. */
export interface Vertex {
  x: number;
  low: number;
  y: number;
  high: number;
}

/** How much of a span a switch was on, 0 to 1. */
export interface Block extends Span {
  share: number;
}

/** Curves of one kind share a panel; temperatures come first, each switch has a strip of its own. */
const kinds: readonly PointKind[] = [
  'temperature',
  'irradiance',
  'power',
  'flow',
  'volume',
  'energy',
  'voltage',
];

export function panelsOf(
  traces: readonly Trace[],
  styles: ReadonlyMap<string, LineStyle>,
  names: { chart: TraceChartWords; point(point: string): string },
  say: Speaker,
): Panel[] {
  const curves = kinds.flatMap((kind) => {
    const ofKind = traces.filter((trace) => trace.kind === kind);
    return ofKind.length === 0 ? [] : [{ kind, traces: ofKind }];
  });
  return [
    ...curves.map(({ kind, traces }, n): Panel => {
      const inUnits = toUnits(kind, say);
      const lines = traces.map((trace) => ({
        style: styles.get(trace.point)!,
        pieces: piecesOf(trace, inUnits),
      }));
      return {
        kind: 'curves',
        title: titleOf(kind, names.chart, say),
        main: n === 0,
        scale: scaleOf(lines, kind, n === 0 ? 5 : 2),
        label: (value) => labelOf(kind, value, say),
        lines,
      };
    }),
    ...traces
      .filter(({ kind }) => kind === 'flag')
      .map(
        (trace): Panel => ({
          kind: 'switch',
          title: names.point(trace.point),
          blocks: blocksOf(trace),
        }),
      ),
  ];
}

function piecesOf(trace: Trace, inUnits: (value: number) => number): Vertex[][] {
  const pieces: Vertex[][] = [];
  let last: Bucket | null = null;
  for (const bucket of trace.buckets) {
    if (last === null || isGap(trace, last, bucket)) pieces.push([]);
    pieces.at(-1)!.push({
      x: bucket.from + trace.bucketMs / 2,
      low: inUnits(bucket.min),
      y: inUnits(bucket.mean),
      high: inUnits(bucket.max),
    });
    last = bucket;
  }
  return pieces;
}

/** A switch stays as it was until the next reading; of one that moved within a bucket nobody knows how. */
function blocksOf(trace: Trace): Block[] {
  const { buckets, bucketMs, longestGapMs } = trace;
  const blocks: Block[] = [];
  buckets.forEach((bucket, n) => {
    if (bucket.max <= 0) return;
    const end = bucket.from + bucketMs;
    const next = buckets[n + 1];
    const holds = bucket.min === bucket.max && next !== undefined && next.from - end < longestGapMs;
    const share = Math.min(1, Math.max(0, bucket.mean));
    const to = holds ? next.from : end;
    const last = blocks.at(-1);
    // Drawn as one, they leave no seam.
    if (last?.to === bucket.from && last.share === share) last.to = to;
    else blocks.push({ from: bucket.from, to, share });
  });
  return blocks;
}

function scaleOf(lines: readonly Curve[], kind: PointKind, marks: number): Scale {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const { pieces } of lines) {
    for (const vertex of pieces.flat()) {
      low = Math.min(low, vertex.low);
      high = Math.max(high, vertex.high);
    }
  }
  if (low > high) [low, high] = [0, 1];
  // What cannot be less than nothing begins there; counters only ever grow.
  const fromZero = kind === 'power' || kind === 'flow' || kind === 'irradiance';
  return niceScale(fromZero ? Math.min(0, low) : low, high, marks);
}

function titleOf(kind: PointKind, { kinds }: TraceChartWords, say: Speaker): string {
  const unit = unitTold(kind, say);
  return kind === 'temperature' || kind === 'flag' ? unit : `${kinds[kind]}, ${unit}`;
}

function labelOf(kind: PointKind, value: number, say: Speaker): string {
  const decimals = Number.isInteger(value)
    ? 0
    : Number.isInteger(Math.round(value * 1e6) / 1e5)
      ? 1
      : 2;
  return `${say.number(value, decimals)}${kind === 'temperature' ? '°' : ''}`;
}

const dashes: readonly (readonly number[])[] = [
  [],
  [7, 4],
  [2, 3],
  [10, 3, 2, 3],
  [14, 5],
  [5, 2, 1, 2],
];

/** Sun and water have colours of their own; whatever else shares them, or has ink, differs in its strokes. */
export function stylesOf(points: readonly string[]): Map<string, LineStyle> {
  const used = { sun: 0, water: 0, ink: 0, muted: 0 };
  return new Map(
    points.map((point) => {
      const colour = colourOf(point);
      const nth = used[colour]++;
      const dash = dashes[nth % dashes.length]!;
      return [point, { colour, width: colour === 'ink' || colour === 'muted' ? 1.75 : 2.5, dash }];
    }),
  );
}

function colourOf(point: string): LineStyle['colour'] {
  if (point === 'tub/temperature') return 'water';
  if (point === 'collector/temperature' || point === 'collector/irradiance') return 'sun';
  if (collectorNumber(point) !== null) return 'sun';
  return point.startsWith('backup/') || point.startsWith('outdoor/') ? 'muted' : 'ink';
}

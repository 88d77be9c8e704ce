import { computed, useComputed, useSignalEffect } from '@preact/signals';
import type { RefObject } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { pointType } from '../../model/points.ts';
import { words } from '../speech.ts';
import { fetched } from './fetched.ts';
import { gesturesOn } from './gestures.ts';
import { Sample } from './lines.tsx';
import { answer, picture } from './looked-at.ts';
import { heightFor, type MarksFor, type Plot, plotOn } from './plot.ts';
import { readingTold } from './reading-told.ts';
import { cursor, letGo, move, points, settled, shown, zoomTo } from './shown-view.ts';
import { place, timeNames, tracesWords } from './speech.ts';
import { timeMarks } from './time-marks.ts';

/** The chart: lines over time, which fingers, a mouse and keys move and read. */
export function TraceFigure() {
  return (
    <figure class="chart">
      <figcaption>
        <h2>{tracesWords.chart.title}</h2>
      </figcaption>
      {picture.value === null ? (
        <div class="canvas">
          <p class="muted">{tracesWords.chart.loading}</p>
        </div>
      ) : (
        <Drawn />
      )}
    </figure>
  );
}

function Drawn() {
  const canvas = useRef<HTMLCanvasElement>(null);
  const hands = useRef<HTMLDivElement>(null);
  const plot = useRef<Plot | null>(null);
  const height = useComputed(() => (picture.value ? heightFor(picture.value) : 0));

  useEffect(() => {
    const drawn = plotOn(canvas.current!);
    plot.current = drawn;
    const ended = gesturesOn(hands.current!, {
      view: () => shown.peek(),
      instantAt: drawn.instantAt,
      width: drawn.width,
      read: (t) => {
        cursor.value = t;
      },
      move,
      letGo,
    });
    return () => {
      ended();
      drawn.destroy();
    };
  }, []);
  // Drawn without making the page anew: a finger moves this sixty times a second.
  useSignalEffect(() => {
    const [drawn, view] = [picture.value, shown.value];
    if (drawn === null) return;
    const marks: MarksFor = (most) => timeMarks(view, most, place.value, timeNames.value);
    plot.current?.show(drawn, view, cursor.value, marks);
    canvas.current!.dataset.drawn = 'yes';
  });

  return (
    <>
      <div class="plot" style={{ height: `${height.value}em` }}>
        <canvas ref={canvas} role="img" aria-label={answer.value} />
        <Reader hands={hands} />
      </div>
      <Legend />
    </>
  );
}

/** Lies over the chart: what is touched, and what the arrow keys move. */
function Reader({ hands }: { hands: RefObject<HTMLDivElement | null> }) {
  const { from, to } = shown.value;
  const at = cursor.value;
  return (
    <div
      ref={hands}
      class="hands"
      role="slider"
      tabIndex={0}
      aria-label={tracesWords.read.title}
      aria-valuemin={from}
      aria-valuemax={to}
      aria-valuenow={at ?? from}
      aria-valuetext={at === null ? tracesWords.read.hint : readingTold(at)}
      onKeyDown={keys}
    />
  );
}

/** Arrows read, bucket by bucket or ten at once; plus and minus zoom around what is read. */
function keys(event: KeyboardEvent): void {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const { from, to } = settled.peek();
  const step = (fetched.peek()?.bucketMs ?? 60_000) * (event.shiftKey ? 10 : 1);
  const at = cursor.peek() ?? (from + to) / 2;
  const next: Record<string, () => void> = {
    ArrowLeft: () => read(at - step),
    ArrowRight: () => read(at + step),
    PageDown: () => read(at - 10 * step),
    PageUp: () => read(at + 10 * step),
    Home: () => read(from),
    End: () => read(to - 1),
    '+': () => zoomTo(0.5, at),
    '-': () => zoomTo(2, at),
    Escape: () => {
      cursor.value = null;
    },
  };
  const act = next[event.key];
  if (act === undefined) return;
  event.preventDefault();
  act();

  function read(t: number): void {
    cursor.value = Math.min(to - 1, Math.max(from, t));
  }
}

/** Names what is drawn, and only that; switches bear their names in the chart. */
function Legend() {
  const { night } = tracesWords.chart;
  const lines = points.value.filter((point) => !isSwitch(point));
  return (
    <ul class="legend">
      {lines.map((point) => (
        <li key={point}>
          <Sample point={point} />
          {words.points.name(point)}
        </li>
      ))}
      {(fetched.value?.nights.length ?? 0) > 0 && (
        <li>
          <svg viewBox="0 0 24 16" aria-hidden="true" focusable="false">
            <rect class="night" x="2" y="0.5" width="20" height="15" />
          </svg>
          {night}
        </li>
      )}
      {hasBands.value && <li>{tracesWords.chart.band}</li>}
    </ul>
  );
}

const isSwitch = (point: string) => pointType(point)?.kind === 'flag';

const hasBands = computed(() =>
  (fetched.value?.traces ?? []).some(
    ({ kind, buckets }) => kind !== 'flag' && buckets.some(({ min, max }) => max > min),
  ),
);

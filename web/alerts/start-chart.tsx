import '../style/traces.css';
import { useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type { Alert } from '../../model/shapes.ts';
import { address } from '../address.ts';
import { lostAt, now } from '../live.ts';
import { say, words } from '../speech.ts';
import { LineSample } from '../traces/line-sample.tsx';
import { panelsOf, stylesOf } from '../traces/picture.ts';
import { heightFor, type Plot, plotOn } from '../traces/plot.ts';
import { language, place, timeNames, tracesWords } from '../traces/speech.ts';
import { timeMarks } from '../traces/time-marks.ts';
import { answerOf } from '../traces/told.ts';
import { queryOf } from '../traces/view.ts';
import { type Around, aroundStart, fetchAround } from './around-start.ts';

/** What the sensors that an alert is about told around its start. */
export function StartChart({ alert, points }: { alert: Alert; points: string[] }) {
  const { title, failed, nothing, more } = tracesWords.start;
  const around = useSignal<Around | 'failed' | null>(null);
  const reachable = lostAt.value === null;

  useEffect(() => {
    if (!reachable) return;
    const asking = new AbortController();
    const span = aroundStart(alert, Date.parse(now.peek()!.at));
    fetchAround(alert.tub, points, span, asking.signal).then((answer) => {
      if (!asking.signal.aborted) around.value = answer ?? around.peek() ?? 'failed';
    });
    return () => asking.abort();
  }, [reachable, points.join()]);

  const found = around.value;
  const heard = found !== null && found !== 'failed' && found.traces.some(hasReadings);
  return (
    <figure class="chart start">
      <figcaption>
        <h2>{title}</h2>
      </figcaption>
      {found === null && <p class="muted">{tracesWords.chart.loading}</p>}
      {found === 'failed' && <p class="muted">{failed}</p>}
      {found !== null && found !== 'failed' && !heard && <p class="muted">{nothing}</p>}
      {heard && <Drawn around={found} since={Date.parse(alert.since)} />}
      {heard && (
        <a class="more" href={addressOf(points, found)}>
          {more}
        </a>
      )}
    </figure>
  );
}

const hasReadings = ({ buckets }: Around['traces'][number]) => buckets.length > 0;

const addressOf = (points: string[], { span }: Around) =>
  address(`/traces${queryOf({ points, chosen: { kind: 'instants', ...span } })}`);

function Drawn({ around, since }: { around: Around; since: number }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const plot = useRef<Plot | null>(null);
  const { traces, span, nights } = around;
  const styles = stylesOf(traces.map(({ point }) => point));
  const named = { chart: tracesWords.chart, point: words.points.name };
  const picture = {
    panels: panelsOf(traces, styles, named, say.value),
    nights,
    marks: [{ number: null, kind: 'alert' as const, from: since, to: null }],
  };

  useEffect(() => {
    plot.current = plotOn(canvas.current!);
    return () => plot.current?.destroy();
  }, []);
  useEffect(() => {
    const marks = (most: number) => timeMarks(span, most, place.value, timeNames.value);
    plot.current?.show(picture, span, null, marks);
    canvas.current!.dataset.drawn = 'yes';
  });

  const shown = { traces, view: span, present: span.to, alerts: [] };
  return (
    <>
      <div class="plot" style={{ height: `${heightFor(picture)}em` }}>
        <canvas ref={canvas} role="img" aria-label={answerOf(shown, language.value)} />
      </div>
      <ul class="legend">
        {traces
          .filter(({ kind }) => kind !== 'flag')
          .map(({ point }) => (
            <li key={point}>
              <LineSample style={styles.get(point)!} />
              {words.points.name(point)}
            </li>
          ))}
        <li>
          <svg viewBox="0 0 24 16" aria-hidden="true" focusable="false">
            <path d="M12 0v16" stroke="currentColor" stroke-width="1.5" stroke-dasharray="5 3" />
          </svg>
          {tracesWords.start.since}
        </li>
      </ul>
    </>
  );
}

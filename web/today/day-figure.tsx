import { computed, signal, useComputed } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { HOUR } from '../../model/readings.ts';
import type { DayWithQuarters } from '../../model/shapes.ts';
import { now } from '../live.ts';
import { present } from '../present.ts';
import { say, timeZone, unbroken, words } from '../speech.ts';
import { DayTable } from './day-table.tsx';
import type { Drawing } from './drawing.ts';
import { outlook } from './evening.ts';
import type { Outlook } from './outlook.ts';
import { type Picture, pictureOf } from './picture.ts';
import { dayFailed, isToday, shownDay } from './shown-day.ts';
import { type Story, storyOf } from './story.ts';

/** The day's chart, with what it says in words and as a table. */
export function DayFigure() {
  const day = shownDay.value;
  if (day === null) return null;
  return (
    <figure class="chart">
      <figcaption>
        <h2>{words.chart.title}</h2>
      </figcaption>
      {day === undefined ? (
        <>
          <div class="canvas">
            <p class="muted">{dayFailed.value ? words.chart.failed : words.chart.loading}</p>
          </div>
          {!dayFailed.value && <div class="room" />}
        </>
      ) : (
        <Drawn day={day} />
      )}
    </figure>
  );
}

/** The picture moves with the minute, not with the second. */
const minute = computed(() => Math.floor(present.value / 60_000) * 60_000);

function Drawn({ day }: { day: DayWithQuarters }) {
  const evening = eveningOf(day);
  const picture = pictureNow(day, evening);
  return (
    <>
      <Canvas picture={picture} answer={answerOf(storyOf(day, minute.value), evening)} />
      <Legend picture={picture} />
      <DayTable day={day} present={minute.value} evening={evening} />
    </>
  );
}

const tubNow = computed(() => {
  const value = now.value?.values['tub/temperature'];
  const celsius = now.value?.figures.tubC ?? null;
  return celsius === null ? null : { celsius, value };
});

export type Expected = Extract<Outlook, { kind: 'foreseen' }>;

/** The evening's look ahead, as far as it belongs to the day that is drawn. */
function eveningOf(day: DayWithQuarters): Expected | null {
  const look = outlook.value;
  if (!isToday.value || look.kind !== 'foreseen' || look.at > Date.parse(day.to)) return null;
  return look;
}

function pictureNow(day: DayWithQuarters, evening: Expected | null): Picture {
  return pictureOf({
    day,
    present: minute.value + 60_000,
    tub: isToday.value ? tubNow.value : null,
    evening,
    timeZone: timeZone.value,
    say: say.value,
  });
}

function Canvas({ picture, answer }: { picture: Picture; answer: string }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const drawing = useRef<Drawing | null>(null);
  const latest = useRef(picture);
  latest.current = picture;
  const failed = useComputed(() => chartLost.value);

  useEffect(() => {
    let gone = false;
    // After the sentence: the browser paints first, then fetches what draws.
    const later = setTimeout(async () => {
      try {
        const { drawingOn } = await import('./drawing.ts');
        if (gone || canvas.current === null) return;
        drawing.current = drawingOn(canvas.current);
        drawing.current.show(latest.current);
        canvas.current.dataset.drawn = 'yes';
      } catch {
        chartLost.value = true;
      }
    });
    return () => {
      gone = true;
      clearTimeout(later);
      drawing.current?.destroy();
    };
  }, []);
  useEffect(() => drawing.current?.show(picture));

  return (
    <div class="canvas">
      {failed.value && <p class="muted">{words.chart.failed}</p>}
      <canvas ref={canvas} role="img" aria-label={answer} />
    </div>
  );
}

/** The part that draws could not be fetched; the table still tells everything. */
const chartLost = signal(false);

function answerOf({ heat, lostKwh, water, gaps }: Story, evening: Expected | null): string {
  const { chart } = words;
  const time = (instant: number) => say.value.time(instant);
  return [
    heat === null
      ? chart.noHeat
      : chart.heatFrom(
          {
            span: [time(heat.from), time(heat.to)],
            peakW: heat.peakW,
            peakAt: time(heat.peakAt),
          },
          say.value,
        ),
    lostKwh >= 0.05 && chart.lostSum(lostKwh, say.value),
    water === null ? chart.noWater : chart.waterWent(water, say.value),
    gaps.length > 0 && chart.gaps(gaps.map(({ from, to }) => [time(from), time(to)])),
    evening !== null && chart.expects({ ...evening, clock: time(evening.at) }, say.value),
  ]
    .filter((part) => part !== false)
    .join(' ');
}

/** Names what is drawn, and only that. */
function Legend({ picture }: { picture: Picture }) {
  const { chart } = words;
  const { bars, wanted, nights, water, expected } = picture;
  const lost = bars.some(({ lostKw }) => lostKw !== null);
  const estimated = bars.some((bar) => bar.estimated && bar.gainKw !== null);
  const day = shownDay.value;
  return (
    <ul class="legend">
      <Entry word={chart.heat}>
        <rect class={estimated ? 'sun hollow' : 'sun'} x="5" y="1" width="14" height="14" />
        {estimated && <path class="sun" d="M6 14 18 2M6 8l6-6M12 14l6-6" stroke-width="2" />}
      </Entry>
      {estimated && <li>{chart.estimated}</li>}
      {lost && (
        <Entry word={chart.lost}>
          <rect class="lost" x="5" y="1" width="14" height="14" />
        </Entry>
      )}
      {water.some(({ y }) => y !== null) && (
        <Entry word={chart.water}>
          <path class="water" d="M0 8h24" stroke-width="3" />
        </Entry>
      )}
      {wanted !== null && day?.targetC != null && (
        <Entry word={unbroken(chart.wanted(day.targetC, say.value))}>
          <path class="wanted" d="M0 8h24" stroke-width="2" stroke-dasharray="2 5" />
        </Entry>
      )}
      {nights.length > 0 && (
        <Entry word={chart.night}>
          <rect class="night" x="2" y="0.5" width="20" height="15" />
        </Entry>
      )}
      {isToday.value && <ExpectedEntry at={expected?.at ?? null} />}
    </ul>
  );
}

/** Has its room before it is known, so that nothing moves when it comes. */
function ExpectedEntry({ at }: { at: number | null }) {
  const clock = say.value.time(at ?? Date.parse(shownDay.value!.to) - 4 * HOUR);
  return (
    <Entry word={words.chart.expected(clock)} unseen={at === null}>
      <path class="expected" d="M0 8 21 2v12zM17 2h7M17 14h7" />
    </Entry>
  );
}

function Entry(props: { word: string; unseen?: boolean; children: ComponentChildren }) {
  const { word, unseen, children } = props;
  return (
    <li class={unseen ? 'to-come' : undefined}>
      <svg viewBox="0 0 24 16" aria-hidden="true" focusable="false">
        {children}
      </svg>
      {word}
    </li>
  );
}

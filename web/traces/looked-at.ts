import { computed } from '@preact/signals';
import { present } from '../present.ts';
import { say, words } from '../speech.ts';
import { fetched } from './fetched.ts';
import { type MarkedThing, markedIn } from './marked.ts';
import { type Picture, panelsOf, stylesOf } from './picture.ts';
import { points } from './shown-view.ts';
import { language, tracesWords } from './speech.ts';
import { answerOf, type Shown, toldOf } from './told.ts';

/** What follows from what was fetched: drawn, said and listed; none of it moves with a finger. */

/** The present, by the minute. */
const minute = computed(() => Math.floor(present.value / 60_000) * 60_000 + 60_000);

const shown = computed<Shown | null>(() => {
  const known = fetched.value;
  if (known === null) return null;
  return { traces: known.traces, view: known.span, present: minute.value, alerts: known.alerts };
});

export const told = computed(() => (shown.value ? toldOf(shown.value, language.value) : null));

export const answer = computed(() => (shown.value ? answerOf(shown.value, language.value) : ''));

/** Alerts and entries of the log in the span, in order. */
export const marked = computed<MarkedThing[]>(() => {
  const known = fetched.value;
  return known ? markedIn(known.span, minute.value, known.alerts, known.entries) : [];
});

export const styles = computed(() => stylesOf(points.value));

export const picture = computed<Picture | null>(() => {
  const known = fetched.value;
  if (known === null) return null;
  // A line that was just taken away goes at once; one that was added comes with the answer.
  const traces = known.traces.filter(({ point }) => styles.value.has(point));
  return {
    panels: panelsOf(
      traces,
      styles.value,
      { chart: tracesWords.chart, point: words.points.name },
      say.value,
    ),
    nights: known.nights,
    marks: marked.value.map(({ number, kind, from, to }) => ({ number, kind, from, to })),
  };
});

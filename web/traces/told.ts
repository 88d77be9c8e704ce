import type { Alert, Severity } from '../../model/shapes.ts';
import type { Speaker } from '../../model/words/speaker.ts';
import type { TracesWords } from '../../model/words/traces-words.ts';
import type { PointWords } from '../../model/words/words.ts';
import { common, extremes, gapsOf, type Trace } from './trace.ts';
import type { Span } from './view.ts';

/** What a view of lines says: the sentence, the line below it, and the chart's text alternative. */

export interface Shown {
  traces: readonly Trace[];
  view: Span;
  present: number;
  alerts: readonly Alert[];
}

export interface Language {
  words: TracesWords;
  points: PointWords;
  say: Speaker;
}

export function toldOf(shown: Shown, language: Language): { sentence: string; detail: string } {
  const { view, present, traces } = shown;
  const { words, say } = language;
  const span = spanTold(view, present, say, words);
  if (view.from >= present)
    return { ...words.told.notYet, detail: `${span} ${words.told.notYet.detail}` };
  const heard = traces.filter((trace) => extremes(trace, view) !== null);
  const alert = foremost(shown);
  if (heard.length === 0 && alert === null) return words.told.nothing(span);
  const others = shown.alerts.filter((each) => stands(each, view, present)).length - 1;
  const detail =
    alert === null
      ? [span, extremesTold(heard[0]!, view, language)]
      : [span, others > 0 ? words.told.otherAlerts(others) : ''];
  return {
    sentence:
      alert === null ? lineTold(heard[0]!, view, language) : alertTold(alert, view, language),
    detail: [...detail, gapsTold(shown, language)].filter(Boolean).join(' '),
  };
}

/** What the chart shows, to whoever cannot see it. */
export function answerOf(shown: Shown, language: Language): string {
  const { words, points, say } = language;
  const at = moments(shown.view, say);
  const lines = shown.traces.map((trace) => {
    const found = extremes(trace, shown.view);
    const name = points.name(trace.point);
    if (found === null) return `${name}: ${words.read.notHeard}.`;
    if (trace.kind === 'flag') return lineTold(trace, shown.view, language);
    const value = valuesOf(trace, points, say);
    return words.chart.line({
      name,
      low: value(found.low),
      lowAt: at(found.lowAt),
      high: value(found.high),
      highAt: at(found.highAt),
    });
  });
  return [...lines, gapsTold(shown, language)].filter(Boolean).join(' ');
}

/** A value as it is told here: a pump's power to the watt. */
export function valuesOf(
  { point, kind }: Pick<Trace, 'point' | 'kind'>,
  points: PointWords,
  say: Speaker,
): (value: number) => string {
  if (kind !== 'power') return (value) => points.value(point, value, say);
  return (watts) => (Math.abs(watts) < 950 ? `${say.number(watts, 0)} W` : say.power(watts));
}

const rank: Record<Severity, number> = { danger: 0, act: 1, look: 2, note: 3 };

/** The gravest alert that began in the view, else the gravest that stood in it; notes are no news. */
function foremost({ alerts, view, present }: Shown): Alert | null {
  const standing = alerts
    .filter((alert) => alert.severity !== 'note' && stands(alert, view, present))
    .sort(
      (a, b) => rank[a.severity] - rank[b.severity] || Date.parse(a.since) - Date.parse(b.since),
    );
  return standing.find(({ since }) => Date.parse(since) >= view.from) ?? standing[0] ?? null;
}

/** Whether it stood for any part of the view that has been. */
export function stands({ since, until }: Alert, { from, to }: Span, present: number): boolean {
  const end = until === null ? present : Date.parse(until);
  return Date.parse(since) < Math.min(to, present + 1) && end > from;
}

function alertTold(alert: Alert, view: Span, { words, say }: Language): string {
  const { since, until } = alert;
  const [from, to] = [Date.parse(since), until === null ? null : Date.parse(until)];
  if (from < view.from && (to === null || to >= view.to)) return words.told.stoodAlong(alert.says);
  const whole = { from: Math.min(from, view.from), to: Math.max(to ?? view.to, view.to) };
  const at = moments(whole, say);
  const ends = to === null || to > view.to ? null : to;
  return words.told.alert({
    says: alert.says,
    since: at(from),
    until: ends === null ? null : sameDate(from, ends, say) ? say.time(ends) : at(ends),
  });
}

function lineTold(trace: Trace, view: Span, { words, points, say }: Language): string {
  const found = extremes(trace, view)!;
  const name = points.name(trace.point);
  const value = valuesOf(trace, points, say);
  const [low, high] = [value(found.low), value(found.high)];
  if (trace.kind === 'volume' || trace.kind === 'energy') {
    const by = found.last.max - found.first.min;
    // A counter that was set back tells nothing by its ends.
    if (by >= 0 && found.high <= found.last.max) return words.told.rose({ name, by: value(by) });
  }
  if (trace.kind === 'flag' && low !== high)
    return words.told.changed({ name, off: low, on: high });
  if (trace.kind === 'flag') return words.told.stayed({ name, value: low });
  return low === high
    ? words.told.same({ name, value: low })
    : words.told.went({ name, low, high });
}

function extremesTold(trace: Trace, view: Span, { words, say }: Language): string {
  const found = extremes(trace, view)!;
  if (trace.kind === 'flag' || trace.kind === 'volume' || trace.kind === 'energy') return '';
  if (found.low === found.high) return '';
  const at = moments(view, say);
  return words.told.extremes({ lowAt: at(found.lowAt), highAt: at(found.highAt) });
}

const GAPS_TOLD = 2;

/** The silences that all lines share; where there is none, the longest of any. */
function gapsTold({ traces, view, present }: Shown, { words, points, say }: Language): string {
  if (traces.length === 0) return '';
  const at = moments(view, say);
  /** The end bears its date where that is another than the beginning's. */
  const ends = ({ from, to }: Span): [string, string] => [
    at(from),
    sameDate(from, to, say) && !longSpan(view) ? say.time(to) : at(to),
  ];
  const each = traces.map((trace) => gapsOf(trace, view, present));
  // A switch that need not speak for a day says nothing of silence, unless it is alone.
  const talking = each.filter((_, n) => traces[n]!.kind !== 'flag');
  const shared = common(talking.length > 0 ? talking : each);
  const [first] = shared;
  if (first === undefined) {
    const longest = traces
      .flatMap((trace, n) => each[n]!.map((gap) => ({ ...gap, point: trace.point })))
      .sort((a, b) => b.to - b.from - (a.to - a.from))[0];
    if (longest === undefined) return '';
    const name = points.name(longest.point);
    const [from, to] = ends(longest);
    return words.told.gapOf({ name, from, to });
  }
  const leading = first.from === view.from;
  if (leading && first.to >= Math.min(view.to, present)) return '';
  if (leading && shared.length === 1) return words.told.before(at(first.to));
  const told = shared.slice(leading ? 1 : 0);
  const spans = told.slice(0, GAPS_TOLD).map(ends);
  return [
    leading && words.told.before(at(first.to)),
    words.told.gaps(spans, told.length - spans.length),
  ]
    .filter(Boolean)
    .join(' ');
}

const MONTHS = 32 * 24 * 3_600_000; // ms

const longSpan = ({ from, to }: Span) => to - from > MONTHS;

/** How an instant of a span is told: the hour within one date, else date and hour; the date alone in months. */
export function moments({ from, to }: Span, say: Speaker): (at: number) => string {
  if (sameDate(from, to - 1, say)) return say.time;
  if (longSpan({ from, to }))
    return (at) => say.date(say.dateOf(at), say.dateOf(to - 1).slice(0, 4));
  return (at) => say.moment(at, FAR);
}

/** A date on which nothing is told. */
const FAR = 0;

export const sameDate = (a: number, b: number, say: Speaker) => say.dateOf(a) === say.dateOf(b);

/** The span itself: one date, two dates, or within a date from hour to hour. */
export function spanTold(
  { from, to }: Span,
  present: number,
  say: Speaker,
  { told }: TracesWords,
): string {
  const last = say.dateOf(to - 1);
  const thisYear = say.dateOf(present).slice(0, 4);
  const date = (at: string) => say.date(at, thisYear);
  const first = say.dateOf(from);
  const whole = say.dateOf(from - 1) !== first && say.dateOf(to) !== last;
  if (whole) return told.span({ from: first === last ? date(last) : date(first), to: date(last) });
  if (first === last) {
    return told.span({ from: `${date(first)}, ${say.time(from)}`, to: say.time(to) });
  }
  return told.span({
    from: `${date(first)}, ${say.time(from)}`,
    to: `${date(last)}, ${say.time(to)}`,
  });
}

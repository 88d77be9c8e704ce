import type { PointKind } from '../points.ts';
import type { Told } from './words.ts';

/** What the Traces screen says, and the small chart of an alert; apart, since Today does not need it. */
export interface TracesWords {
  told: TraceTold;
  chart: TraceChartWords;
  read: TraceReadWords;
  marks: TraceMarkWords;
  span: TraceSpanWords;
  lines: TraceLineWords;
  table: TraceTableWords;
  csv: TraceCsvWords;
  start: TraceStartWords;
}

/** The sentence and the line below it. Times and spans are told ones: `10:05`, `3 March at 10:05`. */
export interface TraceTold {
  /** An alert began in what is shown. */
  alert(told: { says: string; since: string; until: string | null }): string;
  /** An alert stood all along. */
  stoodAlong(says: string): string;
  otherAlerts(count: number): string;
  /** How a line went, by its point: where it was lowest and highest. */
  went(told: { name: string; low: string; high: string }): string;
  same(told: { name: string; value: string }): string;
  changed(told: { name: string; off: string; on: string }): string;
  stayed(told: { name: string; value: string }): string;
  rose(told: { name: string; by: string }): string;
  extremes(told: { lowAt: string; highAt: string }): string;
  nothing(span: string): Told;
  notYet: Told;
  noPoints: Told;
  failed: Told;
  loading: string;
  /** Each part of what was not heard, in order. */
  gaps(spans: [from: string, to: string][], more: number): string;
  gapOf(told: { name: string; from: string; to: string }): string;
  before(since: string): string;
  span(told: { from: string; to: string }): string;
  lastKnown(told: { since: string; duration: string }): string;
}

export interface TraceChartWords {
  title: string;
  /** What a panel's curves tell; its unit follows. */
  kinds: Record<Exclude<PointKind, 'temperature' | 'flag'>, string>;
  /** The text alternative's part about one line. */
  line(told: { name: string; low: string; lowAt: string; high: string; highAt: string }): string;
  band: string;
  night: string;
  loading: string;
}

export interface TraceReadWords {
  title: string;
  hint: string;
  at(moment: string): string;
  between(from: string, to: string): string;
  /** A whole day. */
  on(date: string): string;
  range(low: string, high: string): string;
  /** A switch that moved meanwhile. */
  atTimes(on: string): string;
  notHeard: string;
  value(told: { name: string; value: string }): string;
}

export interface TraceMarkWords {
  title(alerts: number, entries: number): string;
  alert(told: { says: string; since: string; until: string | null }): string;
  entry(told: { name: string; from: string; until: string | null; note: string | null }): string;
}

export interface TraceSpanWords {
  title: string;
  day: string;
  '3-days': string;
  week: string;
  month: string;
  year: string;
  dates: string;
  earlier: string;
  later: string;
  closer: string;
  wider: string;
  zoom: string;
  first: string;
  last: string;
  show: string;
  wrong: string;
}

export interface TraceLineWords {
  choose: string;
  tub: string;
  collector: string;
  pump: string;
  others: string;
}

export interface TraceTableWords {
  title: string;
  from: string;
  low: string;
  mean: string;
  high: string;
}

export interface TraceCsvWords {
  readings(count: string): string;
  buckets(told: { length: string }): string;
  fetching: string;
  failed: string;
  file(told: { tub: string; from: string; to: string }): string;
}

/** The chart around the start of an alert. */
export interface TraceStartWords {
  title: string;
  since: string;
  failed: string;
  nothing: string;
  more: string;
}

import type { Span } from './civil-time.ts';
import type { WorkedDay } from './day.ts';
import type { Day } from './shapes.ts';
import { spoiltOf, whySpoilt } from './spoilt.ts';

interface Reason {
  span: Span;
  why: string;
}

/**
 * What useful and saved leave out of a day, in order, each part with one reason: without any figure of
 * them that is all that has come.
 */
export function notCountedOn(day: WorkedDay, until: number): Day['notCounted'] {
  const { bounds, quarters, figures, settings, drained } = day;
  const come = { from: bounds.from, to: Math.min(bounds.to, until) };
  const spoilt = figures ? spoiltOf(quarters, figures.learned, figures.spoilt) : [];
  const isUntold = figures !== null && figures.saved === null && settings.backup.kind !== 'none';
  const silent = isUntold ? [come] : (figures?.saved?.notHeard ?? []);
  const reasons: Reason[] = [
    ...drained.map((span) => ({ span, why: 'the tub was drained' })),
    ...spoilt.map((span) => ({ span, why: whySpoilt(span) })),
    ...silent.map((span) => ({ span, why: 'not heard' })),
  ];
  return parted(reasons, come).map(({ span: { from, to }, why }) => ({
    from: new Date(from).toISOString(),
    to: new Date(to).toISOString(),
    why,
  }));
}

/** What reasons, the most telling first, leave to each other of a span. */
function parted(reasons: readonly Reason[], all: Span): Reason[] {
  const parts: Reason[] = [];
  for (const { span, why } of reasons) {
    const taken = parts.map((part) => part.span);
    for (const part of within(span, all)) {
      parts.push(...outside(part, taken).map((left) => ({ span: left, why })));
    }
    parts.sort((a, b) => a.span.from - b.span.from);
  }
  return parts;
}

function within({ from, to }: Span, all: Span): Span[] {
  const part = { from: Math.max(from, all.from), to: Math.min(to, all.to) };
  return part.from < part.to ? [part] : [];
}

/** What some spans, in order, leave of a span. */
function outside(span: Span, others: readonly Span[]): Span[] {
  const left: Span[] = [];
  let { from } = span;
  for (const other of others) {
    if (other.from > from) left.push(...within({ from, to: other.from }, span));
    from = Math.max(from, other.to);
  }
  return [...left, ...within({ from, to: span.to }, span)];
}

import { flowOf } from '../../model/measured-flow.ts';
import type { LogEntryShape } from '../../model/owner-log.ts';
import type { LogWords } from '../../model/words/log-words.ts';
import type { Speaker } from '../../model/words/speaker.ts';

/** When an entry holds, with the year where that is not the present one's. */
export function whenOf(
  { from, until }: Pick<LogEntryShape, 'from' | 'until'>,
  present: number,
  words: LogWords,
  say: Speaker,
): string {
  const thisYear = say.dateOf(present).slice(0, 4);
  const [start, end] = [Date.parse(from), until === undefined ? null : Date.parse(until)];
  const moment = (t: number) => `${say.date(say.dateOf(t), thisYear)}, ${say.time(t)}`;
  const sameDay = end !== null && say.dateOf(end) === say.dateOf(start);
  return words.when({
    from: moment(start),
    until: end === null ? null : sameDay ? say.time(end) : moment(end),
  });
}

/** What an entry tells beside its kind: what was measured, and the owner's words. */
export function linesOf(
  { data = {}, kind, note }: LogEntryShape,
  pointName: (point: string) => string,
  words: LogWords,
  say: Speaker,
): string[] {
  return [...measuredLines(kind, data, pointName, words, say), ...(note ? [note] : [])];
}

function measuredLines(
  kind: LogEntryShape['kind'],
  data: Record<string, unknown>,
  pointName: (point: string) => string,
  words: LogWords,
  say: Speaker,
): string[] {
  switch (kind) {
    case 'bucket-test': {
      const flow = flowOf(data);
      return flow === null ? [] : [words.flow(say.flow(flow.lPerMin))];
    }
    case 'cup-check': {
      if (typeof data.differenceK !== 'number') return [];
      const apart = Math.abs(say.difference(data.differenceK));
      const points = Array.isArray(data.points) ? data.points.map((name) => pointName(name)) : [];
      const named: [string, string] | null = points.length === 2 ? [points[0]!, points[1]!] : null;
      return [words.difference(named, `${say.number(apart, 1)} °${say.manner.temperature}`)];
    }
    case 'bathing':
      return typeof data.people === 'number' ? [words.people(data.people)] : [];
    case 'water-changed':
      return typeof data.litres === 'number' ? [words.litres(say.volume(data.litres))] : [];
    case 'sensor-moved':
      return typeof data.point === 'string' ? [`${pointName(data.point)}.`] : [];
    default:
      return [];
  }
}

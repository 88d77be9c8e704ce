import type { Excerpt } from '../replay/run.ts';
import { SetupBook } from '../watch/setup-book.ts';
import type { HandedOver } from './read.ts';

/** A hand-over file as what a replay goes on from. */
export function excerptOf({ about, versions, log, known }: HandedOver): Excerpt {
  const { tub, from, to, heardAt, countedTo, madeAt } = about;
  const newest = heardAt === null ? Number.NEGATIVE_INFINITY : Date.parse(heardAt);
  return {
    ...{ from, to, before: known.before },
    versions: new SetupBook(versions, new Map([[tub, log]])).of(tub),
    evidence: new Map(known.evidence.map((day) => [day.date, day])),
    spoilt: known.spoilt,
    heardAt: newest,
    countedTo: countedTo === null ? newest : Date.parse(countedTo),
    until: Date.parse(madeAt),
  };
}

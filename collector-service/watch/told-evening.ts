import { type BackupStart, backupStarts } from '../../model/backup-start.ts';
import type { Evening } from '../../model/shapes.ts';
import { en } from '../../model/words/en.ts';
import { eveningText, eveningTold } from '../../model/words/evening-told.ts';
import type { Speaker } from '../../model/words/speaker.ts';
import type { EveningLook } from './evening-book.ts';

/** A look ahead as it is told at an instant. */
export function toldEvening(
  { today, foreseen }: EveningLook,
  say: Speaker,
  present: number,
): Evening {
  const { settings, at } = today;
  const starts = backupStarts(today, foreseen, present);
  const isTold = typeof starts !== 'string';
  const evening = {
    at: iso(at),
    lowC: foreseen.lowC,
    highC: foreseen.highC,
    targetC: settings.tub.targetC,
    bySky: foreseen.bySky,
    backup: isTold ? { latest: shape(starts.latest), cheapest: shape(starts.cheapest) } : null,
    why: isTold ? null : starts,
    currency: settings.tariff?.currency ?? null,
    says: '',
  };
  return { ...evening, says: eveningText(eveningTold(evening, present, en.evening, say)) };
}

/** What is told where nothing can be foreseen. */
export const noEvening = (why: 'no-place' | 'not-heard'): Evening => ({
  at: null,
  lowC: null,
  highC: null,
  targetC: null,
  bySky: false,
  backup: null,
  why,
  currency: null,
  says: en.evening.missing[why],
});

const shape = ({ start, ...cost }: BackupStart) => ({ start: iso(start), ...cost });

const iso = (t: number): string => new Date(t).toISOString();

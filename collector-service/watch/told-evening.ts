import { backupStarts } from '../../model/backup-start.ts';
import { localDate } from '../../model/civil-time.ts';
import type { Evening } from '../../model/shapes.ts';
import { en } from '../../model/words/en.ts';
import type { Speaker } from '../../model/words/speaker.ts';
import type { EveningLook } from './evening-book.ts';

/** A look ahead as it is told. */
export function toldEvening({ today, foreseen }: EveningLook, say: Speaker): Evening {
  const words = en.evening;
  const { settings, askedAt, at } = today;
  const { currency } = settings.tariff ?? { currency: '' };
  const starts = backupStarts(today, foreseen);
  const zone = settings.place.timeZone;
  const tomorrow = localDate(at, zone) !== localDate(askedAt, zone);
  const range = words.range(foreseen.lowC, foreseen.highC, say);
  const sentences = [`${words.label(say.time(at), tomorrow)} ${range}, ${words.ifSkyStays}.`];
  const cost = ({ kwh, money }: { kwh: number; money: number | null }) => ({
    kwh,
    money: money === null ? null : say.money(money, currency),
  });
  if (starts) {
    const { latest, cheapest } = starts;
    const { targetC } = settings.tub;
    sentences.push(words.backup({ start: say.time(latest.start), targetC, ...cost(latest) }, say));
    if (cheapest !== latest && cheapest.money !== null) {
      const money = say.money(cheapest.money, currency);
      sentences.push(words.cheaper({ start: say.time(cheapest.start), money }));
    }
  } else if (settings.backup.kind !== 'none') {
    const isEnough = foreseen.middleC >= settings.tub.targetC;
    sentences.push(isEnough ? words.warmEnough : words.notInTime);
  }
  const shown = ({ start, kwh, money }: { start: number; kwh: number; money: number | null }) => ({
    start: iso(start),
    kwh,
    money,
  });
  return {
    at: iso(at),
    lowC: foreseen.lowC,
    highC: foreseen.highC,
    backup: starts && { latest: shown(starts.latest), cheapest: shown(starts.cheapest) },
    says: sentences.join(' '),
  };
}

/** What is told where nothing can be foreseen. */
export const noEvening = (why: 'setup' | 'tub'): Evening => ({
  at: null,
  lowC: null,
  highC: null,
  backup: null,
  says: en.evening.missing[why],
});

const iso = (t: number): string => new Date(t).toISOString();

import type { Alert, Day } from '../../model/shapes.ts';
import { en } from '../../model/words/en.ts';
import { plainSpeaker, type Speaker } from '../../model/words/speaker.ts';
import type { Replayed } from './run.ts';

/**
 * What replaying brought, for people: a line for each day, then one for each alert, oldest first.
 *
 * @param zoneOf  the zone in which a tub's times are told
 */
export const inWords = (
  tubs: ReadonlyMap<string, Replayed>,
  zoneOf: (tub: string) => string | null,
): string =>
  [...tubs]
    .flatMap(([tub, { days, alerts }]) => {
      const say = plainSpeaker(zoneOf(tub));
      const told = alerts.map((alert) => `  ${alertInWords(alert, say)}`);
      return [tub, ...days.map((day) => `  ${dayInWords(day)}`), ...told];
    })
    .map((line) => `${line}\n`)
    .join('');

function dayInWords(day: Day): string {
  const coverage = `${Math.round(100 * day.coverage)} % covered`;
  if (day.gainKwh === null || day.lostKwh === null || day.uncertaintyKwh === null) {
    return `${day.date}  heat not known, ${coverage}`;
  }
  const doubt = (2 * day.uncertaintyKwh).toFixed(2);
  return `${day.date}  gain ${day.gainKwh.toFixed(2)} kWh, lost ${day.lostKwh.toFixed(2)} kWh, ± ${doubt} kWh, ${day.basis}, ${coverage}`;
}

/** When it would have been told, how grave it is, what would have been said, and when it was so. */
function alertInWords(alert: Alert, say: Speaker): string {
  const at = (time: string) => `${say.dateOf(Date.parse(time))} ${say.time(Date.parse(time))}`;
  const end = alert.until === null ? 'still so' : `until ${at(alert.until)}`;
  const cost = alert.costKwh === null ? [] : [`cost ${say.energy(alert.costKwh)}`];
  const when = [`since ${at(alert.since)}`, end, ...cost].join(', ');
  return `${at(alert.raisedAt)}  ${en.alerts.severity[alert.severity]}: ${alert.says} (${when})`;
}

import { boardsHeard } from '../minutes/boards-heard.ts';
import { HOUR } from '../readings.ts';
import { temperatureSensors } from './points-judged.ts';
import type { Finding, Rule } from './rule.ts';

/** Restarts that are worth a word, and those that are not. */
const LIMITS = { oftenInADay: 6, seldomInADay: 2 };

/** A digital sensor starts anew again and again: each time it tells its power-on value, which is dropped. */
export const powerOnValue: Rule<unknown, unknown, unknown, typeof LIMITS> = {
  fault: 'power-on-value',
  severity: 'note',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [['seldomInADay', 'oftenInADay']],
  needs: [],
  mutedBy: [],
  subjects: temperatureSensors,
  minute({ t, heard, states, settings }, _, point, __, limits): Finding {
    const { oftenInADay, seldomInADay } = limits;
    const lately = newer(heard[point]!.powerOns, t);
    if (lately.length <= seldomInADay || states.drained) return 'gone';
    if (lately.length < oftenInADay) return 'between';
    // a board that starts anew does so with all of its sensors: the first speaks for them
    const boards = boardsHeard(settings, Object.keys(heard));
    const mates = boards.find(({ points }) => points.includes(point))!.points;
    const first = mates.find((mate) => newer(heard[mate]!.powerOns, t).length >= oftenInADay);
    if (first !== point) return 'between';
    return { evidence: { timesInADay: lately.length }, since: lately[0]! };
  },
};

const newer = (times: readonly number[], t: number): number[] =>
  times.filter((at) => at > t - 24 * HOUR);

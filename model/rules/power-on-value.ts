import { boardsHeard } from '../minutes/boards-heard.ts';
import { HOUR } from '../readings.ts';
import { temperatureSensors } from './points-judged.ts';
import type { Finding, Rule } from './rule.ts';

/** Restarts that are worth a word, and those that are not, in a day. */
const OFTEN = 6;
const SELDOM = 2;

/** A digital sensor starts anew again and again: each time it tells its power-on value, which is dropped. */
export const powerOnValue: Rule = {
  fault: 'power-on-value',
  severity: 'note',
  onMs: 0,
  offMs: 0,
  needs: [],
  mutedBy: [],
  subjects: temperatureSensors,
  minute({ t, heard, states, settings }, _, point): Finding {
    const lately = newer(heard[point]!.powerOns, t);
    if (lately.length <= SELDOM || states.drained) return 'gone';
    if (lately.length < OFTEN) return 'between';
    // a board that starts anew does so with all of its sensors: the first speaks for them
    const boards = boardsHeard(settings, Object.keys(heard));
    const mates = boards.find(({ points }) => points.includes(point))!.points;
    const first = mates.find((mate) => newer(heard[mate]!.powerOns, t).length >= OFTEN);
    if (first !== point) return 'between';
    return { evidence: { timesInADay: lately.length }, since: lately[0]! };
  },
};

const newer = (times: readonly number[], t: number): number[] =>
  times.filter((at) => at > t - 24 * HOUR);

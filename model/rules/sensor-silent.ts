import { boardHeardAt, boardsHeard, isBoardSilent } from '../minutes/boards-heard.ts';
import { MINUTE } from '../readings.ts';
import { isOneSensor } from './device-silent.ts';
import type { Finding, Rule } from './rule.ts';

const LIMITS = {
  /** How long a chief point may be silent in the sun before that has to be seen to today. */
  actAfterSunMin: 60,
};
/** The two without which the loop cannot be judged. */
const CHIEF = new Set(['tub/temperature', 'collector/temperature']);

interface Memory {
  /** When its board was last found silent as a whole [ms]: its points do not speak at once after that. */
  boardBackAt: number;
  sunMinutes: number;
}

/**
 * One point is heard no more while others of its board are. Only of thermometers, and of points that were
 * seen to tell unchanged values again: a switch, or a flow that is told when it changes, may well rest.
 */
export const sensorSilent: Rule<Memory, unknown, unknown, typeof LIMITS> = {
  fault: 'sensor-silent',
  severity: 'look',
  onMs: MINUTE,
  offMs: 0,
  limits: LIMITS,
  needs: [],
  mutedBy: ['device-silent', 'broker-lost'],
  subjects: (heard) => [...heard],
  memory: () => ({ boardBackAt: 0, sunMinutes: 0 }),
  minute({ t, heard, states, outside, settings }, memory, point, _, limits): Finding {
    const { type, heardAt, steadyGapMs, usualGapMs, patienceMs } = heard[point]!;
    if (outside.linkDownSince !== null) return 'blind';
    if (t - heardAt <= patienceMs) {
      memory.sunMinutes = 0;
      return 'gone';
    }
    if (usualGapMs === null || (steadyGapMs === null && type.kind !== 'temperature')) {
      return 'between';
    }
    const boards = boardsHeard(settings, Object.keys(heard));
    const board = boards.find(({ points }) => points.includes(point))!;
    const isAlone = isOneSensor(board, boards);
    if (!isAlone && isBoardSilent(board, heard, t)) memory.boardBackAt = t;
    // until something else of its board was heard when it should have been, it may be the whole board;
    // where there is nothing else, all boards
    const since = Math.max(heardAt, memory.boardBackAt);
    const lately = isAlone
      ? Math.max(...boards.map((one) => boardHeardAt(one, heard)))
      : boardHeardAt(board, heard);
    if (lately - since <= patienceMs) return 'between';
    if (states.sunPossible) memory.sunMinutes++;
    const isChief = CHIEF.has(point) && memory.sunMinutes > limits.actAfterSunMin;
    return {
      severity: isChief ? 'act' : 'look',
      since: heardAt,
      evidence: {
        minutes: Math.round((t - heardAt) / MINUTE),
        heardAt: new Date(heardAt).toISOString(),
        usualSeconds: usualGapMs / 1000,
      },
    };
  },
};

import type { Minute } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';
import { runsUnasked } from './pump-draw.ts';
import type { Finding, Rule } from './rule.ts';

const LIMITS = {
  /** Below it the pump runs against frost, which may last so long though it warms the collectors. */
  frostBelowC: 8,
  frostRunMin: 60,
  /** A controller that cools a tub above its limit begins to do so with collectors this much colder. */
  coolsAtK: 5,
  /** A run that the sun began may end so late after dusk, by a switch-off difference that is too small. */
  fromDayMin: 60,
};
/** Collectors that are still this much warmer than the tub are worth a run. [K] */
const LEAST_WORTH_K = 1.5;
const START_MIN = 3;
/** Cooling on purpose ends at the latest when the tub is so far below its limit. [K] */
const COOLS_BY_K = 2;
/** What a litre in a minute carries, per kelvin. [W] */
const W_PER_L_MIN_K = 4150 / 60;

/** When the run began [ms] that is one against frost, that cools the tub, or that began by day. */
interface Memory {
  againstFrost: number;
  cools: number;
  byDay: number;
  darkMin: number;
}

/** The pump runs in the dark, and carries the tub's heat to the sky. */
export const pumpOnAtNight: Rule<Memory, unknown, unknown, typeof LIMITS> = {
  fault: 'pump-on-at-night',
  severity: 'act',
  onMs: 20 * MINUTE,
  offMs: 10 * MINUTE,
  limits: LIMITS,
  needs: [['pump/running', 'pump/power', 'pump/flow'], ['collector/temperature']],
  uses: ['tub/temperature', 'pump/power'],
  mutedBy: ['clock-wrong'],
  memory: () => ({ againstFrost: 0, cools: 0, byDay: 0, darkMin: 0 }),
  minute(minute, memory, _, __, limits): Finding {
    const { states, collectorC, tubC, differenceK, usual, pump } = minute;
    if (states.pumpOn === null || collectorC === null) return 'blind';
    const isUnasked = runsUnasked(minute);
    memory.darkMin = states.dark ? memory.darkMin + 1 : 0;
    if ((!states.pumpOn && !isUnasked) || states.drained) return 'gone';
    if (!states.dark) memory.byDay = pump.changedAt;
    if (startsToCool(minute, limits)) memory.cools = pump.changedAt;
    if (!states.dark) return 'between';
    // a run against frost goes on by the name it began with
    if (collectorC < limits.frostBelowC) memory.againstFrost = pump.changedAt;
    const isAgainstFrost =
      memory.againstFrost === pump.changedAt && states.pumpMinutes < limits.frostRunMin;
    if (isAgainstFrost || collectorC < limits.frostBelowC) return 'between';
    if (memory.cools === pump.changedAt && tubC !== null && tubC > limitC(minute) - COOLS_BY_K)
      return 'between';
    if (!isUnasked && isWorthIt(minute)) return 'between';
    const isFromDay = !isUnasked && memory.byDay === pump.changedAt;
    if (isFromDay && memory.darkMin < limits.fromDayMin - 20) return 'between';
    return {
      evidence: {
        collectorC,
        tubC,
        runsMinutes:
          !isUnasked && Number.isFinite(states.pumpMinutes) ? Math.round(states.pumpMinutes) : null,
      },
      ...(differenceK === null
        ? {}
        : {
            costW: Math.max(0, -differenceK) * (minute.lPerMin ?? usual.lPerMin) * W_PER_L_MIN_K,
          }),
    };
  },
};

const limitC = ({ settings, usual }: Minute): number =>
  Math.min(settings.tub.limitC, usual.limitC ?? settings.tub.limitC);

/** Whether a run began a moment ago that cools a tub above its limit on purpose. */
function startsToCool(minute: Minute, { coolsAtK }: typeof LIMITS): boolean {
  const { states, tubC } = minute;
  if (!states.pumpOn || states.pumpMinutes > START_MIN || tubC === null) return false;
  if (tubC <= limitC(minute)) return false;
  for (let ago = 0; ago <= START_MIN + 1; ago++) {
    const collectorC = minute.ago('collectorC', ago);
    if (collectorC !== null && collectorC - tubC < -coolsAtK) return true;
  }
  return false;
}

/** Whether the collectors, hot still, are reason enough to run. */
const isWorthIt = ({ differenceK, settings }: Minute): boolean =>
  differenceK !== null &&
  differenceK >= Math.max(LEAST_WORTH_K, settings.controller.switchOffK - 1);

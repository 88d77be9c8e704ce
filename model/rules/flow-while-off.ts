import type { Minute } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';
import { runsUnasked } from './pump-draw.ts';
import type { Finding, Rule } from './rule.ts';

/** More of the usual flow than this is no trickle of noise. */
const LIMITS = { share: 0.05, lPerMin: 0.1 };
const AFTER_STOP_MIN = 3;
/** So long a number that was held is left to the rule about frozen ones. [min] */
const HELD_MIN = 240;
/** So much of the usual flow, with heat to carry and hot water coming back, is a pump that runs unseen. */
const PUMPED = { share: 0.7, followsK: 5, gainsK: 1 };
/** Water that goes round by itself brings the two ends this close together. [K] */
const EVEN_K = 4;

/** The meter tells of water while the pump rests: a meter that errs, or water that goes its own way. */
export const flowWhileOff: Rule<
  { heldLPerMin: number | null; withFilter: number; minutes: number },
  unknown,
  unknown,
  typeof LIMITS
> = {
  fault: 'flow-while-off',
  severity: 'look',
  onMs: 15 * MINUTE,
  offMs: 15 * MINUTE,
  limits: LIMITS,
  needs: [
    ['pump/flow', 'pump/volume'],
    ['pump/running', 'pump/power'],
  ],
  uses: ['filter/running', 'pump/power', 'collector/outlet', 'collector/temperature'],
  mutedBy: ['frozen-reading', 'flow-too-high'],
  memory: () => ({ heldLPerMin: null, withFilter: 0, minutes: 0 }),
  minute(minute, memory, _, __, limits): Finding {
    const { states, lPerMin, usual, settings } = minute;
    if (lPerMin === null || states.pumpOn === null) return 'blind';
    if (states.drained || settings.owner.flowConfirmed) return 'gone';
    if (states.pumpOn) {
      memory.heldLPerMin = lPerMin;
      memory.minutes = 0;
      memory.withFilter = 0;
      return 'between';
    }
    if (states.pumpMinutes <= AFTER_STOP_MIN) return 'between';
    if (lPerMin <= Math.max(limits.lPerMin, limits.share * usual.lPerMin)) return 'gone';
    if (!isHeardSince(minute) || runsUnasked(minute) || isPumped(minute)) return 'between';
    if (isHeld(minute) && states.pumpMinutes < HELD_MIN) return 'between';
    memory.minutes++;
    if (states.filterRun) memory.withFilter++;
    return {
      evidence: {
        lPerMin,
        usualLPerMin: usual.lPerMin,
        kind: kindOf(minute, memory),
        collectorC: minute.collectorC,
        outletC: minute.outletC,
        tubC: minute.tubC,
      },
    };
  },
};

/** Whether the meter has spoken since the pump stopped: an old value that was kept tells nothing. */
function isHeardSince({ heard, pump }: Minute): boolean {
  const newest = Math.max(
    heard['pump/flow']?.heardAt ?? Number.NEGATIVE_INFINITY,
    heard['pump/volume']?.heardAt ?? Number.NEGATIVE_INFINITY,
  );
  return newest > pump.changedAt + AFTER_STOP_MIN * MINUTE;
}

/** Whether it has told the same, bit for bit, since the pump ran: then it is likely to be told frozen. */
const isHeld = ({ heard, pump }: Minute): boolean =>
  (heard['pump/flow']?.sameSince ?? Number.POSITIVE_INFINITY) <= pump.changedAt;

/** Everything but its own point says that the pump runs. */
function isPumped({ lPerMin, usual, differenceK, collectorC, outletC, tubC }: Minute): boolean {
  if (lPerMin! < PUMPED.share * usual.lPerMin || differenceK === null || outletC === null)
    return false;
  return (
    differenceK < 1.2 * usual.fullSunK &&
    Math.abs(collectorC! - outletC) <= PUMPED.followsK &&
    outletC > tubC! + PUMPED.gainsK
  );
}

function kindOf(
  { lPerMin, tubC, collectorC, outletC }: Minute,
  {
    heldLPerMin,
    minutes,
    withFilter,
  }: { heldLPerMin: number | null; withFilter: number; minutes: number },
): string {
  if (lPerMin === heldLPerMin) return 'held';
  if (withFilter > 0.9 * minutes) return 'with-filter';
  const isEven =
    tubC !== null &&
    collectorC !== null &&
    outletC !== null &&
    Math.abs(outletC - tubC) < EVEN_K &&
    Math.abs(collectorC - tubC) < EVEN_K;
  return isEven ? 'real' : 'meter';
}

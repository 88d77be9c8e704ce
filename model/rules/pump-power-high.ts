import type { Minute } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';
import { type DrawFact, drawDaily, drawOf, hasNoPower } from './pump-draw.ts';
import type { Finding, Rule } from './rule.ts';

const LIMITS = {
  /** A rotor that is blocked or rubs draws this share of what is usual. */
  highAbove: 1.3,
  goneBelow: 1.2,
  /** Asked for so long without any power, a pump has a broken wire or fuse. */
  powerlessMin: 15,
};
/** Electronics that start a blocked rotor again and again: power now and then, and none in between. */
const PULSES = { minutes: 20, without: 10, bouts: 2, lowShare: 0.15, highShare: 0.3 };
/** A pump that draws less than this share does not run. */
const NOTHING = 0.1;
/** On collectors hotter than this the pump that stands still tells more. [K above switch-on] */
const ABOVE_ON_K = 4;

/** For how many minutes the pump has been asked to run, and had no power though it was. */
interface Memory {
  asked: number;
  powerless: number;
  /** Whether it drew what it should when it ran last. */
  isFine: boolean;
}

/** The pump draws too much, in pulses, or nothing though it is asked: blocked, rubbing or cut off. */
export const pumpPowerHigh: Rule<Memory, unknown, DrawFact, typeof LIMITS> = {
  fault: 'pump-power-high',
  severity: 'act',
  onMs: MINUTE,
  offMs: 5 * MINUTE,
  limits: LIMITS,
  rising: [['goneBelow', 'highAbove']],
  needs: [['pump/power'], ['pump/running', 'pump/commanded', 'pump/flow']],
  uses: ['pump/voltage', 'pump/commanded'],
  mutedBy: ['broker-lost'],
  memory: () => ({ asked: 0, powerless: 0, isFine: false }),
  minute(minute, memory, _, days, limits): Finding {
    const { states, pumpW } = minute;
    if (pumpW === null || states.pumpOn === null) return 'blind';
    if (states.drained) return 'gone';
    memory.asked = (minute.asked ?? states.pumpOn) ? memory.asked + 1 : 0;
    const isPulsing = memory.asked >= PULSES.minutes && pulses(minute);
    memory.powerless = hasNoPower(minute) && !isPulsing ? memory.powerless + 1 : 0;
    const figures = { watts: pumpW, asked: minute.asked, lPerMin: minute.lPerMin };
    if (isPulsing) memory.isFine = false;
    if (isPulsing) return { evidence: { kind: 'pulses', ...figures } };
    if (memory.powerless >= limits.powerlessMin && isMild(minute)) {
      if (minute.isTold('pump-not-running')) return 'between';
      return { evidence: { kind: 'powerless', ...figures }, since: minute.pump.changedAt };
    }
    const draw = drawOf(minute, days);
    if (memory.powerless > 0) memory.isFine = false;
    // once it drew what it should, a pump that rests does not put that in doubt
    if (!draw || memory.powerless > 0) return memory.isFine ? 'gone' : 'between';
    memory.isFine = draw.share < limits.goneBelow && draw.share > NOTHING;
    if (draw.share <= limits.highAbove) return memory.isFine ? 'gone' : 'between';
    return { evidence: { kind: 'high', ...figures, ...draw } };
  },
  daily: drawDaily,
};

const isMild = ({ differenceK, settings }: Minute): boolean =>
  differenceK === null || differenceK < settings.controller.switchOnK + ABOVE_ON_K;

function pulses(minute: Minute): boolean {
  const { settings, usual } = minute;
  if (settings.pump.supply === 'own-panel') return false;
  const usualW = usual.pumpW ?? settings.pump.watts;
  let [without, bouts, hadPower] = [0, 0, false];
  for (let i = 0; i < PULSES.minutes; i++) {
    const watts = minute.ago('pumpW', i);
    if (watts === null) continue;
    const hasPower = watts > PULSES.highShare * usualW;
    if (watts < PULSES.lowShare * usualW) without++;
    else if (!hasPower) continue;
    // a pump that was cut off a moment ago had power once, and not again
    if (hasPower && !hadPower) bouts++;
    hadPower = hasPower;
  }
  return without >= PULSES.without && bouts >= PULSES.bouts;
}

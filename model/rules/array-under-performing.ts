import { learnedFrom } from '../learned.ts';
import { againstOwnHistory, type FigureOfDay, type OwnHistory } from '../own-history.ts';
import { type Performance, performanceOf, performanceRatio } from '../performance.ts';
import type { Finding, PastDay, Rule } from './rule.ts';

/** Of what the loop once did. */
const LIMITS = { lookBelow: 0.85, actBelow: 0.7, goneAbove: 0.9 };
/**
 * Against a clear sky cloud only lowers a day: the best days tell, and there must be some that agree.
 * Against measured sun every day tells.
 */
const CLEAR_SKY = { quantile: 0.9, recentDays: 10, agreeing: 3, within: 0.1 };
const MEASURED = { quantile: 0.5, recentDays: 8, leastWindows: 2 };

/** The loop brings less than it once did under as clear a sky: dirt, fog, shade, lost vacuum. */
export const arrayUnderPerforming: Rule<
  unknown,
  Record<string, never>,
  Performance,
  typeof LIMITS
> = {
  fault: 'array-under-performing',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [['actBelow', 'lookBelow', 'goneAbove']],
  needs: [
    ['tub/temperature'],
    ['collector/temperature'],
    ['pump/running', 'pump/power', 'pump/flow'],
  ],
  uses: ['pump/flow', 'collector/inlet', 'collector/outlet', 'collector/irradiance'],
  mutedBy: [
    'flow-sensor-drifting',
    'flow-sensor-at-zero',
    'flow-too-high',
    'flow-falling',
    'one-collector-dead',
    'pipes-losing-heat',
    'pair-offset',
    'to-and-from-swapped',
    'collector-sensor-loose',
    'running-without-flow',
    'clock-wrong',
  ],
  daily: {
    begin: () => ({}),
    add: () => {},
    close(_, { quarters, bounds, settings }): Performance | null {
      // at a flow that stays the same, or what was learned meanwhile would pass for a change
      const performance = performanceOf(quarters, bounds, settings, learnedFrom([], settings));
      return performance.envelope === null && performance.measured === null ? null : performance;
    },
    judge: (days, _, limits) => judged(days, limits),
  },
};

function judged(days: readonly PastDay<Performance>[], limits: typeof LIMITS): Finding {
  const facts = days.map(({ fact }) => fact);
  const found = byMeasuredSun(facts) ?? byClearSky(facts);
  if (!found) return 'blind';
  const { share, recent, reference, recentDays } = found.history;
  if (share > limits.goneAbove) return 'gone';
  if (share >= limits.lookBelow || !found.isSure) return 'between';
  return {
    severity: share < limits.actBelow ? 'act' : 'look',
    evidence: {
      share,
      ofExpected: recent,
      onceOfExpected: reference,
      days: recentDays,
      ofDataSheet: performanceRatio(facts.slice(-14)),
    },
  };
}

interface Found {
  history: OwnHistory;
  isSure: boolean;
}

function byMeasuredSun(facts: readonly Performance[]): Found | null {
  const figures = facts.flatMap(({ measured, noonDeg }) =>
    measured && measured.windows >= MEASURED.leastWindows
      ? { value: measured.kwh / measured.estimatedKwh, noonDeg }
      : [],
  );
  const history = againstOwnHistory(figures, MEASURED.quantile, MEASURED.recentDays);
  return history && { history, isSure: true };
}

function byClearSky(facts: readonly Performance[]): Found | null {
  const figures = sameBasis(facts);
  const { quantile, recentDays, agreeing, within } = CLEAR_SKY;
  const history = againstOwnHistory(figures, quantile, recentDays);
  if (!history || history.recentDays < recentDays) return null;
  const near = figures
    .slice(-recentDays)
    .filter(({ value }) => Math.abs(value / history.recent - 1) <= within);
  return { history, isSure: near.length >= agreeing };
}

/** Envelopes of days whose heat is known in one way: metered where most of the newest are. */
function sameBasis(facts: readonly Performance[]): FigureOfDay[] {
  const newest = facts.slice(-CLEAR_SKY.recentDays);
  const isMetered = newest.filter(({ basis }) => basis === 'measured').length * 2 > newest.length;
  return facts.flatMap(({ envelope, basis, noonDeg }) =>
    envelope === null || (basis === 'measured') !== isMetered ? [] : { value: envelope, noonDeg },
  );
}

import { learnedFrom } from '../learned.ts';
import { againstOwnHistory, type FigureOfDay, type OwnHistory } from '../own-history.ts';
import { type Performance, performanceOf, performanceRatio } from '../performance.ts';
import type { Finding, PastDay, Rule } from './rule.ts';

/** Of what the loop once did. */
const LIMITS = { lookBelow: 0.85, actBelow: 0.7, goneAbove: 0.9 };
/**
 * Against a clear sky cloud only lowers a day: the best days tell, and there must be some that agree, more
 * of fewer days. Against measured sun every day tells.
 */
const CLEAR_SKY = {
  quantile: 0.9,
  within: 0.1,
  spans: [
    { days: 10, agreeing: 3 },
    { days: 7, agreeing: 5 },
  ],
};
const MEASURED = { quantile: 0.5, recentDays: 8, leastWindows: 2 };
/** So many days with a figure have to pass at the new level before it is over. */
const LASTING_DAYS = 7;

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
  const found = byMeasuredSun(facts, limits) ?? byClearSky(facts, limits);
  if (!found) return 'blind';
  const { share, recent, reference, recentDays } = found.history;
  if (share > limits.goneAbove) return found.isLasting ? 'gone' : 'between';
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
  /** The days agree so well that no weather explains them. */
  isSure: boolean;
  /** Whether the loop has done well for long enough, if it does. */
  isLasting: boolean;
}

function byMeasuredSun(facts: readonly Performance[], { goneAbove }: typeof LIMITS): Found | null {
  const figures = facts.flatMap(({ measured, noonDeg }) =>
    measured && measured.windows >= MEASURED.leastWindows
      ? [{ value: measured.kwh / measured.estimatedKwh, noonDeg }]
      : [],
  );
  const history = againstOwnHistory(figures, MEASURED.quantile, MEASURED.recentDays);
  if (!history) return null;
  const isGood = ({ value }: FigureOfDay) => value > goneAbove * history.reference;
  // one odd day of them does not count
  const isLasting = figures.slice(-LASTING_DAYS).filter(isGood).length >= LASTING_DAYS - 1;
  return { history, isSure: true, isLasting };
}

function byClearSky(facts: readonly Performance[], limits: typeof LIMITS): Found | null {
  const figures = sameBasis(facts);
  const [long, short] = CLEAR_SKY.spans.map((span) => overDays(figures, span, limits));
  const isLow = (found: Found | null) =>
    found?.isSure === true && found.history.share < limits.lookBelow;
  // a few days that agree well tell sooner than a span that still holds some of before
  return long && short && !isLow(long) && isLow(short) ? short : (long ?? null);
}

function overDays(
  figures: readonly FigureOfDay[],
  { days, agreeing }: (typeof CLEAR_SKY.spans)[number],
  { goneAbove }: typeof LIMITS,
): Found | null {
  const asOf = (ago: number) =>
    againstOwnHistory(figures.slice(0, figures.length - ago), CLEAR_SKY.quantile, days);
  const history = asOf(0);
  if (!history || history.recentDays < days) return null;
  const near = figures
    .slice(-days)
    .filter(({ value }) => Math.abs(value / history.recent - 1) <= CLEAR_SKY.within);
  let isLasting = true;
  for (let ago = 1; ago < LASTING_DAYS; ago++) {
    if ((asOf(ago)?.share ?? 1) <= goneAbove) isLasting = false;
  }
  return { history, isSure: near.length >= agreeing, isLasting };
}

/** Envelopes of days whose heat is known in one way: metered where most of the newest are. */
function sameBasis(facts: readonly Performance[]): FigureOfDay[] {
  const newest = facts.slice(-CLEAR_SKY.spans[0]!.days);
  const isMetered = newest.filter(({ basis }) => basis === 'measured').length * 2 > newest.length;
  return facts.flatMap(({ envelope, basis, noonDeg }) =>
    envelope === null || (basis === 'measured') !== isMetered ? [] : { value: envelope, noonDeg },
  );
}

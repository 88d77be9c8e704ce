import { type MeterCheck, meterCheckOf } from '../meter-check.ts';
import { againstOwnHistory } from '../own-history.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

/** Shares of what the meter told in its first days. */
const LIMITS = { below: 0.85, above: 1.15, goneAbove: 0.9, goneBelow: 1.1 };
type Limits = typeof LIMITS;
/** Newest days that stand for the present, where there are as many before them. */
const RECENT_DAYS = 7;
/** Newest days that must agree. */
const AGREEING_DAYS = 3;

/** The meter tells less, or more, than the heat that the tub took says. */
export const flowSensorDrifting: Rule<unknown, Record<string, never>, MeterCheck, Limits> = {
  fault: 'flow-sensor-drifting',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [['below', 'goneAbove', 'goneBelow', 'above']],
  needs: [
    ['pump/flow', 'pump/volume'],
    ['tub/temperature'],
    ['collector/inlet'],
    ['collector/outlet'],
  ],
  uses: ['outdoor/temperature', 'backup/power', 'backup/energy', 'tub/cover', 'filter/running'],
  mutedBy: [
    'flow-sensor-at-zero',
    'flow-too-high',
    'running-without-flow',
    'pair-offset',
    'to-and-from-swapped',
    'tub-sensor-out-of-water',
    'tub-loss-grown',
    'water-level-falling',
  ],
  daily: {
    begin: () => ({}),
    add: () => {},
    close: (_, { evidence, learned, settings }) =>
      evidence ? meterCheckOf(evidence.hours, learned.lossWPerK, settings) : null,
    judge: judged,
  },
};

function judged(days: readonly PastDay<MeterCheck>[], now: PresentDay, limits: Limits): Finding {
  const { movedAt, waterChangedAt } = now.settings.owner;
  const since = Math.max(0, waterChangedAt ?? 0, ...Object.values(movedAt));
  const figures = days
    .filter(({ from }) => from >= since)
    .map(({ from, fact }) => ({ from, value: fact.ratio }));
  const recentDays = Math.min(RECENT_DAYS, figures.length >> 1);
  const history = againstOwnHistory(figures, 0.5, recentDays);
  if (!history) return 'blind';
  const { share, reference } = history;
  if (share > limits.goneAbove && share < limits.goneBelow) return 'gone';
  const newest = figures.slice(-AGREEING_DAYS).map(({ value }) => value / reference);
  const isOff =
    share < 1 ? Math.max(...newest) < limits.goneAbove : Math.min(...newest) > limits.goneBelow;
  if (isWithin(share, limits) || !isOff) return 'between';
  const first = figures.findLast(({ value }) => isWithin(value / reference, limits));
  return {
    ...(first ? { since: first.from } : {}),
    evidence: {
      share,
      multiplyBy: 1 / share,
      days: history.recentDays,
      usualDays: history.referenceDays,
      holdsFrom: first ? new Date(first.from).toISOString() : null,
    },
  };
}

const isWithin = (share: number, { below, above }: Limits): boolean =>
  share >= below && share <= above;

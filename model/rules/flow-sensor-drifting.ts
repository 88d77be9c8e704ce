import { type MeterCheck, meterCheckOf } from '../meter-check.ts';
import { againstOwnHistory } from '../own-history.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

/** Shares of what the meter told in its first days. */
const OUTSIDE = { low: 0.85, high: 1.15 };
const GONE_WITHIN = { low: 0.9, high: 1.1 };
/** Newest days that must agree. */
const AGREEING_DAYS = 3;

/** The meter tells less, or more, than the heat that the tub took says. */
export const flowSensorDrifting: Rule<unknown, Record<string, never>, MeterCheck> = {
  fault: 'flow-sensor-drifting',
  severity: 'look',
  onMs: 0,
  offMs: 0,
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

function judged(days: readonly PastDay<MeterCheck>[], now: PresentDay): Finding {
  const { movedAt, waterChangedAt } = now.settings.owner;
  const since = Math.max(0, waterChangedAt ?? 0, ...Object.values(movedAt));
  const figures = days
    .filter(({ from }) => from >= since)
    .map(({ from, fact }) => ({ from, value: fact.ratio }));
  const history = againstOwnHistory(figures, 0.5);
  if (!history) return 'blind';
  const { share, reference } = history;
  if (share > GONE_WITHIN.low && share < GONE_WITHIN.high) return 'gone';
  const newest = figures.slice(-AGREEING_DAYS).map(({ value }) => value / reference);
  const isOff =
    share < 1 ? Math.max(...newest) < GONE_WITHIN.low : Math.min(...newest) > GONE_WITHIN.high;
  if ((share >= OUTSIDE.low && share <= OUTSIDE.high) || !isOff) return 'between';
  const first = figures.findLast(({ value }) => isWithin(value / reference));
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

const isWithin = (share: number): boolean => share >= OUTSIDE.low && share <= OUTSIDE.high;

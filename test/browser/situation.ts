import type { Alert, Figures, Now, Value } from '../../model/shapes.ts';
import type { Situation } from '../../model/state.ts';

/** A tub on an ordinary afternoon in early autumn, sun on the collectors; tests change what they are about. */

/** 14:30 in Nelson (UTC+13). */
export const present = '2026-03-01T01:30:00.000Z';

export const before = (seconds: number, at = present): string =>
  new Date(Date.parse(at) - 1000 * seconds).toISOString();

export const value = (number: number, ageS: number, rest: Partial<Value> = {}): Value => ({
  value: number,
  time: before(ageS),
  everyS: 10,
  longestGapMin: 10,
  ...rest,
});

export const figures: Figures = {
  timeZone: 'Pacific/Auckland',
  heardAt: before(8),
  tubKPerH: 0.5,
  tubC: 36.4,
  collectorC: 58.9,
  pumpOn: true,
  pumpChangedAt: before(4 * 3600),
  settling: null,
  limitPause: null,
  targetC: 38,
  limitC: 39.5,
  switchOnK: 7,
  sunDeg: 47,
  sunrise: '2026-02-28T17:58:00.000Z',
  sunset: '2026-03-01T07:07:00.000Z',
  usualNightKPerH: null,
  yesterday: { gainKwh: 8.1, basis: 'measured' },
  drainedSince: null,
  missing: [],
  workingOut: false,
};

export const day: NonNullable<Now['day']> = {
  date: '2026-03-01',
  gainKwh: 6.183,
  lostKwh: 0.02,
  uncertaintyKwh: 0.19,
  measuredKwh: 6.183,
  basis: 'measured',
  coverage: 1,
  usefulKwh: null,
  usefulUncertaintyKwh: null,
  pumpKwh: 0.06,
  pumpHours: 4.6,
  litres: 1160,
  savedKwh: null,
  savedUncertaintyKwh: null,
  savedMoney: null,
  currency: null,
  savedCo2Kg: null,
  expectedKwh: null,
  sunKwhPerM2: null,
  tubLowC: 34.5,
  tubHighC: 36.4,
  notCounted: [],
};

export function situation(
  changes: Partial<Omit<Situation, 'figures'>> & { figures?: Partial<Figures> } = {},
): Situation {
  return {
    at: present,
    values: {
      'tub/temperature': value(36.4, 40, { everyS: 60 }),
      'collector/temperature': value(58.9, 8),
      'pump/running': value(1, 8, { longestGapMin: 1440 }),
    },
    powerW: 1620,
    day,
    alerts: [],
    ...changes,
    figures: { ...figures, ...changes.figures },
  };
}

export function alert(changes: Partial<Alert>): Alert {
  return {
    id: 'a1',
    tub: 'kowhai',
    fault: 'pump-not-running',
    severity: 'act',
    since: '2026-02-28T21:05:00.000Z',
    raisedAt: '2026-02-28T21:20:00.000Z',
    until: null,
    unknownSince: null,
    acknowledgedAt: null,
    shelvedUntil: null,
    costKwh: 3.1,
    says: 'The pump is not turning, though the sun is out.',
    evidence: { differenceK: 57 },
    checks: ['Is the pump’s plug in, and its small fuse whole?'],
    ...changes,
  };
}

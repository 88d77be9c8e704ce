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
  powerBasis: 'measured',
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
    shows:
      'The collector has been 57 degrees warmer than the tub, and the controller asks for the pump, ' +
      'but it draws 0 W.',
    evidence: { differenceK: 57 },
    checks: [
      'Is the pump’s plug in, and its small fuse whole?',
      'Is there 12 V at the pump’s plug? If not, it is the cable or the controller.',
      'With the power off, does the rotor turn by hand? Leaf or scale can block it.',
    ],
    ...changes,
  };
}

/** One of each kind that stands, the newest raised first. */
export const standingAlerts: Alert[] = [
  alert({
    caution:
      'Hot water and steam. Open nothing and start nothing while the collector is over 60 °C.',
  }),
  alert({
    id: 'd1',
    fault: 'water-too-hot',
    severity: 'danger',
    raisedAt: '2026-02-28T21:10:00.000Z',
    costKwh: null,
    says: 'Do not get in: the water is at 42.3 °C.',
    shows: 'The water stood at 42.3 °C, and nobody should be in water above 40 °C.',
    checks: ['Nobody in, and the backup off at its own control.', 'Is the cover off?'],
    caution: 'Above 40 °C people overheat, children and pregnant people first.',
  }),
  alert({
    id: 'l1',
    fault: 'tub-loss-grown',
    severity: 'look',
    since: '2026-02-25T11:00:00.000Z',
    raisedAt: '2026-02-25T11:00:00.000Z',
    unknownSince: '2026-02-28T20:00:00.000Z',
    acknowledgedAt: '2026-02-27T01:00:00.000Z',
    shelvedUntil: '2026-03-05T19:00:00.000Z',
    costKwh: null,
    says: 'The tub loses more heat than it used to.',
  }),
  alert({
    id: 'n1',
    fault: 'limit-reached-often',
    severity: 'note',
    raisedAt: '2026-02-20T11:00:00.000Z',
    costKwh: 0,
    says: 'The tub is often as warm as it may get.',
    checks: [],
  }),
];

/** Three that are over, of two months and two years where the tub stands. */
export const endedAlerts: Alert[] = [
  alert({ id: 'o1', since: '2026-02-27T20:00:00.000Z', until: '2026-02-28T22:00:00.000Z' }),
  alert({
    id: 'o2',
    fault: 'sensor-silent',
    point: 'tub/temperature',
    since: '2026-02-28T10:00:00.000Z',
    raisedAt: '2026-02-28T10:15:00.000Z',
    until: '2026-02-28T10:59:00.000Z',
    costKwh: null,
    says: 'Water in the tub: nothing has been heard of it.',
  }),
  alert({
    id: 'o3',
    since: '2025-12-10T20:00:00.000Z',
    raisedAt: '2025-12-10T20:15:00.000Z',
    until: '2025-12-10T23:10:00.000Z',
    costKwh: 1.2,
  }),
];

import type { Learned } from '../../../model/learned.ts';
import type { TubSetup } from '../../../model/setup.ts';
import type { Alert, Day, DayWithQuarters, Evening, Month, Now } from '../../../model/shapes.ts';

/** Invented figures in the shapes of the API; what is served must be these, unchanged. */

export const kowhai: TubSetup = {
  id: 'kowhai',
  name: 'Kōwhai Terrace',
  place: { latitude: -41.27, longitude: 173.28, elevationM: 40, timeZone: 'Pacific/Auckland' },
};

export const lower: TubSetup = {
  id: 'lower',
  place: { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' },
};

const sums = {
  gainKwh: 6.2,
  lostKwh: 0.1,
  uncertaintyKwh: 0.2,
  measuredKwh: 0,
  basis: 'estimated' as const,
  coverage: 0.98,
  usefulKwh: null,
  usefulUncertaintyKwh: null,
  pumpKwh: 0.08,
  pumpHours: 6.1,
  litres: 1281,
  savedKwh: null,
  savedUncertaintyKwh: null,
  savedMoney: null,
  currency: null,
  savedCo2Kg: null,
  expectedKwh: null,
  sunKwhPerM2: null,
  tubLowC: 35.9,
  tubHighC: 38.1,
  notCounted: [{ from: '2026-03-01T01:00:00.000Z', to: '2026-03-01T01:20:00.000Z', why: 'silent' }],
};

export const day: Day = { date: '2026-03-01', ...sums };
export const month: Month = { month: '2026-03', ...sums, days: 1 };

export const dayWithQuarters: DayWithQuarters = {
  ...day,
  from: '2026-02-28T11:00:00.000Z',
  to: '2026-03-01T11:00:00.000Z',
  nights: [],
  targetC: 38,
  quarters: [
    {
      from: '2026-02-28T11:00:00.000Z',
      gainKwh: null,
      lostKwh: null,
      basis: null,
      coverage: 0,
      tubC: null,
      litres: null,
    },
  ],
};

export const now: Now = {
  at: '2026-03-01T02:00:00.000Z',
  values: {
    'tub/temperature': {
      value: 37.4,
      time: '2026-03-01T01:59:50.000Z',
      everyS: 10,
      longestGapMin: 10,
    },
  },
  powerW: 1600,
  day,
  state: 'heating',
  sentence: 'The sun is heating your tub.',
  detail: '1.6 kW is going in.',
  figures: {
    timeZone: 'Pacific/Auckland',
    powerBasis: 'measured',
    heardAt: '2026-03-01T01:59:50.000Z',
    tubKPerH: 0.5,
    tubC: 37.4,
    collectorC: 52,
    pumpOn: true,
    pumpChangedAt: '2026-03-01T00:10:00.000Z',
    settling: false,
    limitPause: false,
    targetC: 38,
    limitC: 39.5,
    switchOnK: 8,
    sunDeg: 50,
    sunrise: null,
    sunset: null,
    usualNightKPerH: null,
    yesterday: null,
    drainedSince: null,
    missing: [],
    workingOut: false,
  },
  alerts: [],
};

const from = Date.parse('2026-02-01T00:00:00Z');
const to = Date.parse('2026-03-01T00:00:00Z');
export const learned: Learned = {
  lossWPerK: { value: 7.4, uncertainty: 0.4, basis: 'learned', readingsFrom: from, readingsTo: to },
  standingLitres: {
    value: 2.8,
    uncertainty: 1.1,
    basis: 'assumed',
    readingsFrom: null,
    readingsTo: null,
  },
  flowLPerMin: {
    value: 3.9,
    uncertainty: 1.1,
    basis: 'assumed',
    readingsFrom: null,
    readingsTo: null,
  },
};

export const evening: Evening = {
  at: '2026-03-01T07:00:00.000Z',
  lowC: 37.2,
  highC: 38,
  targetC: 38,
  bySky: true,
  backup: null,
  why: 'no-backup',
  currency: null,
  says: 'Tonight at 20:00 37.2 to 38.0 °C, if the sky stays as it is.',
};

export const alert: Alert = {
  id: 'pump-not-running-20260301t013000z',
  tub: 'kowhai',
  fault: 'pump-not-running',
  severity: 'act',
  since: '2026-03-01T01:15:00.000Z',
  raisedAt: '2026-03-01T01:30:00.000Z',
  until: null,
  unknownSince: null,
  acknowledgedAt: null,
  shelvedUntil: null,
  costKwh: 1.2,
  says: 'The pump stands still though the sun is out.',
  shows: 'The collectors were 17.0 degrees warmer than the tub, and the pump drew 0 W.',
  evidence: { differenceK: 17 },
  checks: ['Look at the controller: does it ask for the pump?'],
};

/** The one of RFC 8291, Appendix A; nothing listens at its endpoint. */
export const subscription = {
  endpoint: 'https://push.invalid/push/JzLQ3raZJfFBR0aqvOMsLrt54w4rJUsV',
  keys: {
    p256dh:
      'BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4',
    auth: 'BTBZMqHH6r4Tts7J_aSIgg',
  },
};

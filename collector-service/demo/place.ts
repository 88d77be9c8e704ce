import type { TubSetup } from '../../model/setup.ts';

/** The demonstration's tub, as its owner would have told Set-up. */
export const demoTub = {
  id: 'kowhai',
  name: 'Kōwhai Terrace',
  place: { latitude: -41.27, longitude: 173.28, elevationM: 40, timeZone: 'Pacific/Auckland' },
  tub: { litres: 1150, seats: 5, targetC: 38, limitC: 39.5, lossWPerK: 7.5 },
  collectors: {
    count: 5,
    areaM2: 0.8,
    tiltDeg: 38,
    azimuthDeg: 0,
    eta0: 0.74,
    a1: 3.9,
    a2: 0.012,
  },
  loop: {
    pipeMetres: 24,
    flowLPerMin: 4.2,
    flowSensorAt: 'inlet',
    pairAt: 'tub',
    fluid: 'tub-water',
    meterSide: 'tub',
    freeze: 'none',
  },
  pump: { watts: 13, standbyWatts: 2, stateIs: 'powered', supply: 'mains' },
  controller: { switchOnK: 7, switchOffK: 3 },
  backup: {
    kind: 'electric',
    efficiency: 1,
    watts: 2000,
    hours: [{ days: [1, 2, 3, 4, 5, 6, 7], from: '16:00', to: '22:00' }],
  },
  evening: { at: '20:00' },
  tariff: {
    currency: 'NZD',
    otherwise: 0.31,
    bands: [{ days: [1, 2, 3, 4, 5], from: '23:00', to: '07:00', price: 0.17 }],
  },
  carbon: { gPerKwh: 98 },
  sensors: { 'collector/inlet': { class: 'digital-0.5', zeroedOn: '2026-03-02' } },
  corrections: { 'collector/inlet': { offset: -0.21 } },
  boards: [
    {
      name: 'shed',
      points: ['tub/temperature', 'pump/running'],
      willTopic: 'shed/board/alive',
    },
  ],
  longestGapMin: { 'collector/outlet': 10 },
} satisfies TubSetup;

/** The set-up document of the demonstration, whole. */
export const demoSetup = {
  tubs: [demoTub],
  wiring: [],
  notify: { quiet: { from: '22:00', to: '07:00' }, mail: null, webhook: null },
};

import { Chance } from '../simulator/chance.ts';
import { drawnInstruments } from '../simulator/drawn-instruments.ts';
import type { BoardTraits, House, Overrides } from '../simulator/house.ts';

const COLLECTORS = 3;
const { boards } = drawnInstruments(new Chance(1, 'board'), COLLECTORS);

/** One board that tells every point once a minute, and never fails. */
const box: BoardTraits = {
  name: 'box',
  points: boards.flatMap(({ points }) => points),
  everyS: 60,
  onChange: false,
  heartbeatMin: 5,
  stamps: 'board',
  clockMs: 0,
  outagesPerDay: 0,
  outageMin: 20,
  keeps: false,
  restartsPerDay: 0,
  dropouts: 0,
  repeats: 0,
  late: 0,
};

const chip = { class: 'digital-0.5', stepK: 0.0625, lagS: 15, leak: 0, noiseK: 0.02 } as const;

/**
 * A house with the full kit in a place without frost, whose loop fits its tub: nothing is wrong with it
 * in any season, so that whatever is told was told for nothing.
 */
export const calmHouse: Overrides<House> = {
  place: { latitude: -36.8, longitude: 174.7, elevationM: 40, timeZone: 'Pacific/Auckland' },
  climate: { meanC: 16, seasonK: 4, cloudy: 0.25, haze: 0.03, frontsK: 1.5 },
  array: {
    ...{ kind: 'glazed', count: COLLECTORS, areaM2: 0.8, tiltDeg: 40, azimuthDeg: 0 },
    ...{ eta0: 0.74, a1: 4, a2: 0.01 },
  },
  shade: [],
  pump: { supply: 'mains', lPerMin: 4, watts: 15, standbyWatts: 2, driftPerMonth: 0 },
  tub: { litres: 1900, uaWPerK: 24 },
  controller: { freezeRun: false, onK: 7, offK: 3, limitC: 40 },
  backup: {
    kind: 'electric',
    watts: 2000,
    targetC: 36,
    spans: [{ from: 17 * 60, to: 22 * 60 }],
    offsetK: 0,
  },
  people: { awayShare: 0, topUpFromL: 20, bathShare: 0.3 },
  instruments: {
    boards: [box],
    ...{
      tub: chip,
      collector: chip,
      inlet: chip,
      outlet: chip,
      outdoor: chip,
      eachCollector: chip,
    },
    meter: { tells: 'rate' },
    backupTells: 'both',
    levelLowL: 90,
  },
};

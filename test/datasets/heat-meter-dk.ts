import { join } from 'node:path';
import { type FlowSensorAt, heatCoefficient } from '../../model/heat-coefficient.ts';
import { type Figure, furthest } from './figures.ts';
import { csvColumns, sum } from './files.ts';

/** The registers of a real heat meter at one instant. */
interface Registers {
  time: string;
  kwh: number;
  m3: number;
  supply: number; // m³·°C
  back: number; // m³·°C
}

/** What its registers counted from one cut to the next. */
interface Month {
  kwh: number;
  m3: number;
  supplyC: number;
  returnC: number;
}

const PRESSURE_MPA = 1.6;

/**
 * A year of a real heat meter: its own heat register against heat by the coefficient, from volume and
 * volume-weighted temperatures. The meter counts its litres in the hot pipe. The registers' year
 * begins and ends at 23:00 UTC, and so do its months.
 */
export function heatMeterDk(folder: string): Figure[] {
  const months = monthsOf(registers(join(folder, 'meter660_2018.csv.gz')));
  const register = sum(months.map((month) => month.kwh));
  const year = (kwh: (month: Month) => number) => sum(months.map(kwh));
  const counted = (month: Month) => kwhBy(month, 'outlet');
  const offPercent = (kwh: number) => 100 * (kwh / register - 1);
  const worst = furthest(
    months.map((month) => ({ ours: 100 * (counted(month) / month.kwh - 1), expected: 0 })),
  );
  return [
    { name: 'months', ours: months.length, expected: 12, unit: '', limit: 0 },
    {
      name: 'the year',
      ours: year(counted),
      expected: register,
      unit: 'kWh',
      limit: 0.1,
      share: true,
    },
    {
      name: 'the worst month, off by',
      ...worst,
      unit: '%',
      limit: 0.4,
    },
    {
      name: 'the year by the wrong pipe',
      ours: offPercent(year((month) => kwhBy(month, 'inlet'))),
      expected: 1.9,
      unit: '%',
      limit: 0.05,
    },
    {
      name: 'the year by a fixed 1.163 kWh/(m³·K)',
      ours: offPercent(year(({ m3, supplyC, returnC }) => 1.163 * m3 * (supplyC - returnC))),
      expected: 2.6,
      unit: '%',
      limit: 0.05,
    },
  ];
}

function kwhBy({ m3, supplyC, returnC }: Month, flowSensorAt: FlowSensorAt): number {
  const k = heatCoefficient(supplyC, returnC, flowSensorAt, PRESSURE_MPA) ?? Number.NaN;
  return (k * m3 * (supplyC - returnC)) / 3.6;
}

function registers(file: string): Registers[] {
  return csvColumns(file, [
    'time_rounded',
    'energy_heat_kwh',
    'volume_flow_m3',
    'inlet_flow_energy_m3xC',
    'back_flow_energy_m3xC',
  ]).map(([time = '', ...rest]) => {
    const [kwh, m3, supply, back] = rest.map(Number) as [number, number, number, number];
    return { time, kwh, m3, supply, back };
  });
}

function monthsOf(rows: readonly Registers[]): Month[] {
  const cuts = rows.filter(({ time }, i) => i === 0 || endsAMonth(time));
  return cuts.slice(1).map((to, i) => {
    const from = cuts[i]!;
    const m3 = to.m3 - from.m3;
    return {
      kwh: to.kwh - from.kwh,
      m3,
      supplyC: (to.supply - from.supply) / m3,
      returnC: (to.back - from.back) / m3,
    };
  });
}

/** 23:00 UTC of a month's last day: an hour later the next one has begun. */
const endsAMonth = (time: string): boolean =>
  time.includes('T23:00') && new Date(Date.parse(time) + 3_600_000).getUTCDate() === 1;

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Setup } from '../../model/setup.ts';
import type { Day } from '../../model/shapes.ts';
import { incidenceDeg } from '../../model/sun.ts';
import { waterProperties } from '../../model/water.ts';
import { BuiltService } from '../bench/built-service.ts';
import { publishLines } from '../bench/c-client.ts';
import { startMosquitto } from '../service/mosquitto.ts';
import { type Figure, furthest } from './figures.ts';
import { sum } from './files.ts';

/** Collector test days of a laboratory, a row every two minutes. */
interface Row {
  /** The year is not known, and any will do [ms since 1970-01-01 UTC]. */
  t: number;
  incidenceDeg: number;
  zenithDeg: number;
  azimuthDeg: number;
  inletC: number;
  outletC: number;
  kgPerS: number;
  watts: number;
}

const files = ['PVT_UI_Typ1_measurements.txt', 'PVT_UI_Typ3_measurements.txt'];
const YEAR_BEGAN = Date.parse('2025-01-01T00:00:00Z');

const tub = 'saar';
const setup: Setup = {
  tubs: [{ id: tub, place: { latitude: 49.234, longitude: 6.977, timeZone: 'UTC' } }],
};

/**
 * Both files from Mosquitto's own client to the API, through a real Mosquitto and through the embedded
 * broker: heat against the laboratory's signed sum, and both ways alike to the last digit.
 */
export async function pvtCollectorSaar(folder: string): Promise<Figure[]> {
  const days = files.map((file) => ({ file, rows: rowsOf(join(folder, file)) }));
  const rows = days.flatMap((day) => day.rows);
  const ways = { Mosquitto: await byMosquitto(rows), 'embedded broker': await byEmbedded(rows) };
  const [first, second] = Object.values(ways).map((told) => JSON.stringify(told));
  return [
    ...Object.entries(ways).flatMap(([way, told]) =>
      days.map(({ file, rows }) => heatFigure(`${file.slice(7, 11)}, ${way}`, rows, told)),
    ),
    {
      name: 'brokers that tell the days otherwise',
      ours: first === second ? 0 : 1,
      expected: 0,
      unit: '',
      limit: 0,
    },
    ...days.map(({ file, rows }) => incidenceFigure(`${file.slice(7, 11)}, incidence`, rows)),
  ];
}

function heatFigure(name: string, rows: readonly Row[], told: readonly Day[]): Figure {
  const dates = new Set(rows.map(({ t }) => new Date(t).toISOString().slice(0, 10)));
  const own = told.filter(({ date }) => dates.has(date));
  const net = ({ gainKwh, lostKwh }: Day) => (gainKwh ?? Number.NaN) - (lostKwh ?? Number.NaN);
  return {
    name,
    ours: own.length === dates.size ? sum(own.map(net)) : Number.NaN,
    expected: laboratoryKwh(rows),
    unit: 'kWh',
    limit: 0.4,
    share: true,
  };
}

/** Each row's power holds until the next row; after the last nothing is told. */
const laboratoryKwh = (rows: readonly Row[]): number =>
  sum(rows.slice(1).map(({ t }, i) => (rows[i]!.watts * (t - rows[i]!.t)) / 3.6e9));

/** The plane faces south at 45°; the row that is furthest from what the laboratory tells. */
function incidenceFigure(name: string, rows: readonly Row[]): Figure {
  const both = rows.map(({ zenithDeg, azimuthDeg, incidenceDeg: expected }) => ({
    ours: incidenceDeg({ apparentElevationDeg: 90 - zenithDeg, azimuthDeg }, 45, 180),
    expected,
  }));
  return { name, ...furthest(both), unit: '°', limit: 0.001 };
}

async function byMosquitto(rows: readonly Row[]): Promise<Day[]> {
  const mosquitto = await startMosquitto({ config: ['max_queued_messages 0'] });
  try {
    const service = await BuiltService.start({ mqttUrl: mosquitto.url });
    return await heard(service, rows).finally(() => service.stop());
  } finally {
    await mosquitto.remove();
  }
}

async function byEmbedded(rows: readonly Row[]): Promise<Day[]> {
  const service = await BuiltService.start({});
  return heard(service, rows).finally(() => service.stop());
}

async function heard(service: BuiltService, rows: readonly Row[]): Promise<Day[]> {
  await service.setUp(setup);
  await publishLines(await service.login(), `sunsteep/${tub}`, rows.map(packOf));
  await service.kept(3 * rows.length);
  await service.workedOut();
  return (await service.api<{ items: Day[] }>(`/api/tubs/${tub}/days`)).items;
}

/** One row as a SenML pack with its own time. */
function packOf({ t, inletC, outletC, kgPerS }: Row): string {
  const kgPerL = 1 / (1000 * waterProperties(inletC)!.volume);
  return JSON.stringify([
    { bt: t / 1000, n: 'collector/inlet', u: 'Cel', v: inletC },
    { n: 'collector/outlet', u: 'Cel', v: outletC },
    { n: 'pump/flow', v: (60 * kgPerS) / kgPerL },
  ]);
}

/** Two lines of a header, then columns without names. */
function rowsOf(file: string): Row[] {
  const lines = readFileSync(file, 'utf8').trim().split('\n').slice(2);
  return lines.map((line) => {
    const columns = [Number.NaN, ...line.trim().split(/\s+/).map(Number)]; // counted from 1
    return {
      t: YEAR_BEGAN + columns[1]! * 1000,
      incidenceDeg: columns[5]!,
      zenithDeg: columns[6]!,
      azimuthDeg: columns[7]!,
      inletC: columns[13]!,
      outletC: columns[15]!,
      kgPerS: columns[17]!,
      watts: columns[19]!,
    };
  });
}

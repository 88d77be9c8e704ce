import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { MINUTE } from '../../model/readings.ts';
import type { Setup } from '../../model/setup.ts';
import type { Day } from '../../model/shapes.ts';
import { newFolder, run } from '../service/live/program.ts';
import { alertsOf } from './dirty-streams.ts';
import type { Figure } from './figures.ts';
import { csvColumns, sum } from './files.ts';

const file = 'solar_field_20230630_10s.csv.gz';
const tub = 'field';
const setup: Setup = {
  tubs: [
    {
      id: tub,
      place: { latitude: 37.09, longitude: -2.36, elevationM: 500, timeZone: 'UTC' },
    },
  ],
};

/**
 * A day of a real field with a pump that idles for hours, a wrong zero of the flow and a stretch that
 * is frozen, through `replay`: the heat both ways against a plain recalculation of the same rows.
 */
export async function solarFieldPsa(folder: string): Promise<Figure[]> {
  const rows = csvColumns(join(folder, file), ['time', 'qsf', 'Tsf_in', 'Tsf_out']);
  const csv = rows.flatMap(([time = '', m3PerH, inletC, outletC]) => [
    `${time},${tub},pump/flow,${(Number(m3PerH) * 1000) / 60}`,
    `${time},${tub},collector/inlet,${inletC}`,
    `${time},${tub},collector/outlet,${outletC}`,
  ]);
  const { days, read } = await replayed(csv);
  const gain = sum(days.map((day) => day.gainKwh ?? Number.NaN));
  const lost = sum(days.map((day) => day.lostKwh ?? Number.NaN));
  const energy = { unit: 'kWh', limit: 0.5, share: true } as const;
  return [
    { name: 'rows read', ours: read, expected: csv.length, unit: '', limit: 0 },
    { name: 'signed', ours: gain - lost, expected: 641.18, ...energy },
    { name: 'gain', ours: gain, expected: 659.03, ...energy },
    { name: 'lost', ours: -lost, expected: -17.86, ...energy },
    ...frozen(join(folder, file)),
  ];
}

/** The last 523 rows repeat what the row before them said: told once, within half an hour. */
function frozen(path: string): Figure[] {
  const points = [
    'collector/irradiance',
    'collector/inlet',
    'collector/outlet',
    'outdoor/temperature',
  ];
  const rows = csvColumns(path, ['time', 'I', 'Tsf_in', 'Tsf_out', 'Tamb']);
  const t = Float64Array.from(rows, ([time]) => Date.parse(time!.replace(' ', 'T')));
  const traces = new Map(
    points.map((point, i) => [
      point,
      { t, v: Float64Array.from(rows, (row) => Number(row[i + 1])) },
    ]),
  );
  const told = alertsOf(traces, setup.tubs[0]!.place!).filter(
    ({ fault }) => fault === 'frozen-reading',
  );
  const began = t[t.length - 523]!;
  const minutes = told.map(({ raisedAt }) => (raisedAt - began) / MINUTE);
  return [
    { name: 'frozen stretches told', ours: told.length, expected: 1, unit: '', limit: 0 },
    { name: 'told after', ours: minutes[0] ?? Number.NaN, expected: 15, unit: 'min', limit: 15 },
  ];
}

async function replayed(rows: readonly string[]): Promise<{ days: Day[]; read: number }> {
  const folder = newFolder();
  const [setupFile, csvFile] = [join(folder, 'setup.json'), join(folder, 'readings.csv')];
  writeFileSync(setupFile, JSON.stringify(setup));
  writeFileSync(csvFile, `time,tub,point,value\n${rows.join('\n')}\n`);
  const { code, out, err } = await run(['replay', '--setup', setupFile, '--json', csvFile]);
  if (code !== 0) throw new Error(`replay ended with ${code}: ${err}`);
  const told = JSON.parse(out);
  return { days: told.tubs[tub].days, read: told.rows.read };
}

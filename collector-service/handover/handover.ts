import { type CsvCell, csvLine } from '../../model/csv.ts';
import { logEntryShape } from '../../model/owner-log.ts';
import type { Alert, Day } from '../../model/shapes.ts';
import type { PagePlace, Store } from '../store/store.ts';
import { bucketMs, drawnPoints, type Line } from './chart.ts';
import type { Contents } from './contents.ts';
import type { PartName } from './known.ts';
import { ofTheseDays, page, pointName } from './page.ts';
import { type Part, zipped } from './zip.ts';

/** So few that what else waits meanwhile waits for some hundredths of a second. */
const ROWS_A_PAGE = 2_500;

/** A hand-over file, made as it is read. @param of  what `contentsOf` told */
export const handover = (store: Store, of: Contents): AsyncGenerator<Uint8Array> =>
  zipped(partsOf(store, of), Date.parse(of.about.madeAt));

/** `handover-kowhai-2026-03-01-2026-03-07.zip`; all of it are letters, digits and dashes. */
export const handoverName = ({ about: { tub, from, to } }: Contents): string =>
  `handover-${tub}-${from}-${to}.zip`;

async function* partsOf(store: Store, of: Contents): AsyncGenerator<Part> {
  const part = (name: PartName, text: string): Part => ({ name, content: [text] });
  const json = (name: PartName, value: unknown) =>
    part(name, `${JSON.stringify(value, null, 1)}\n`);
  yield part('page.html', page(of, await linesOf(store, of)));
  yield json('about.json', of.about);
  yield json('setup.json', of.setup);
  yield json('versions.json', of.versions);
  yield json('log.json', { items: of.log.map(logEntryShape) });
  yield part('log.csv', logFile(of));
  yield json('alerts.json', of.alerts);
  yield part('alerts.csv', alertsFile(of.alerts));
  yield json('days.json', of.days);
  yield part('days.csv', daysFile(of.days));
  yield json('known.json', of.known);
  yield { name: 'readings.csv' satisfies PartName, content: readingRows(store, of) };
}

async function linesOf(store: Store, { about, points, span }: Contents): Promise<Line[]> {
  const lines: Line[] = [];
  for (const point of drawnPoints.filter((name) => points.includes(name))) {
    const buckets = await store.buckets(about.tub, point, span.from, span.to, bucketMs(span));
    lines.push({ point, name: pointName(point), buckets });
  }
  return lines;
}

/** As `export` writes them. */
async function* readingRows(store: Store, of: Contents): AsyncGenerator<string> {
  const { tub } = of.about;
  const { from, to } = of.readings;
  yield 'time,tub,point,value\n';
  let after: PagePlace | undefined;
  do {
    const rows = await store.page(tub, of.points, from, to, ROWS_A_PAGE, after);
    yield rows
      .map(({ t, point, value }) => `${new Date(t).toISOString()},${tub},${point},${value}\n`)
      .join('');
    after = rows.length === ROWS_A_PAGE ? rows.at(-1) : undefined;
  } while (after);
}

const table = (head: readonly string[], rows: readonly (readonly CsvCell[])[]): string =>
  [head, ...rows].map(csvLine).join('');

function logFile(of: Contents): string {
  const rows = ofTheseDays(of).map((entry) => {
    const { from, until, kind, note, data } = logEntryShape(entry);
    return [from, until, kind, note, data && JSON.stringify(data)];
  });
  return table(['from', 'until', 'kind', 'note', 'data'], rows);
}

function alertsFile(alerts: readonly Alert[]): string {
  const columns = ['since', 'until', 'severity', 'fault', 'point', 'says', 'shows'] as const;
  const more = ['costKwh', 'acknowledgedAt'] as const;
  const rows = alerts.map((alert) => [
    ...[...columns, ...more].map((column) => alert[column]),
    JSON.stringify(alert.evidence),
  ]);
  return table([...columns, ...more, 'evidence'], rows);
}

function daysFile(days: readonly Day[]): string {
  const columns = Object.keys(days[0] ?? { date: '' }).filter((key) => key !== 'notCounted');
  const cells = (day: Day) => columns.map((column) => day[column as keyof Day] as CsvCell);
  return table(columns, days.map(cells));
}

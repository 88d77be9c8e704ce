import { useSignal } from '@preact/signals';
import { present } from '../present.ts';
import { say, unbroken, words } from '../speech.ts';
import { fetched } from './fetched.ts';
import { timeNames, tracesWords } from './speech.ts';
import { tableRows } from './table-rows.ts';
import { toUnits, unitTold } from './told-units.ts';
import type { Trace } from './trace.ts';
import type { Span } from './view.ts';

/** What the chart shows, line by line; made only once it is opened. */
export function TraceTable() {
  const open = useSignal(false);
  return (
    <details
      onToggle={(event) => {
        open.value = event.currentTarget.open;
      }}
    >
      <summary>{tracesWords.table.title}</summary>
      {open.value &&
        fetched.value?.traces.map((trace) => <OfLine key={trace.point} trace={trace} />)}
    </details>
  );
}

function OfLine({ trace }: { trace: Trace }) {
  const { from, low, mean, high } = tracesWords.table;
  const { span } = fetched.value!;
  const at = rowNames(span);
  const rows = tableRows(trace, span).filter((row) => row.from < present.value);
  return (
    <table>
      <caption>{captionOf(trace)}</caption>
      <thead>
        <tr>
          <th scope="col">{from}</th>
          <th scope="col">{low}</th>
          <th scope="col">{mean}</th>
          <th scope="col">{high}</th>
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={row.from}>
            <th scope="row">{at(row.from)}</th>
            <Cells trace={trace} read={row.read} />
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function Cells({
  trace,
  read,
}: {
  trace: Trace;
  read: ReturnType<typeof tableRows>[number]['read'];
}) {
  if (read === null) return <td colSpan={3}>{tracesWords.read.notHeard}</td>;
  const told = (value: number) => cellOf(trace, value);
  const mean = trace.kind === 'flag' ? say.value.percent(read.mean) : told(read.mean);
  return (
    <>
      <td>{told(read.low)}</td>
      <td>{mean}</td>
      <td>{told(read.high)}</td>
    </>
  );
}

/** Its unit stands in the caption, so that the columns are narrow. */
function captionOf({ point, kind }: Trace): string {
  const unit = unitTold(kind, say.value);
  return unit === '' ? words.points.name(point) : `${words.points.name(point)}, ${unit}`;
}

function cellOf({ point, kind }: Trace, value: number): string {
  if (kind === 'flag') return words.points.value(point, value, say.value);
  const decimals = kind === 'power' || kind === 'irradiance' ? 0 : 1;
  return say.value.number(toUnits(kind, say.value)(value), decimals);
}

/** `14:00`, or with its short date where there are several. */
function rowNames({ from, to }: Span): (t: number) => string {
  const { dateOf, time } = say.value;
  if (dateOf(from) === dateOf(to - 1)) return time;
  return (t) => unbroken(`${timeNames.value.date(dateOf(t))} ${time(t)}`);
}

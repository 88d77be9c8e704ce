import type { Day, Month } from '../../model/shapes.ts';
import { say } from '../speech.ts';
import { monthsWords } from './speech.ts';
import { commonBasis } from './told.ts';

/** Energies of some months or days, each row leading to what it tells of. */

type Sums = Omit<Day, 'date'> | Omit<Month, 'month'>;

export interface Row {
  key: string;
  href: string;
  word: string;
  /** null: nothing was heard. */
  sums: Sums | null;
  /** How many days were heard, where the table tells that. */
  days: string | null;
}

export function FiguresTable({
  title,
  first,
  rows,
}: {
  title: string;
  first: string;
  rows: Row[];
}) {
  const { table } = monthsWords;
  const basis = commonBasis(rows.flatMap(({ sums }) => sums ?? []));
  return (
    <section class="figures">
      <h2>{title}</h2>
      {basis !== null && <p class="muted">{table.basis[basis]}</p>}
      <table>
        <thead>
          <tr>
            <th scope="col">{first}</th>
            <th scope="col">{table.fromSun}</th>
            <th scope="col">{table.useful}</th>
            <th scope="col">{table.saved}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <FiguresRow key={row.key} row={row} tellBasis={basis === null} />
          ))}
        </tbody>
      </table>
    </section>
  );
}

function FiguresRow({ row, tellBasis }: { row: Row; tellBasis: boolean }) {
  const { href, word, sums, days } = row;
  const { table } = monthsWords;
  return (
    <tr>
      <th scope="row">
        <a href={href}>{word}</a>
        {days !== null && <span class="muted under">{days}</span>}
        {tellBasis && sums?.basis && (
          <span class="muted under">{monthsWords.table.basisWord[sums.basis]}</span>
        )}
      </th>
      {sums === null ? (
        <td class="muted" colSpan={3}>
          {table.notHeard}
        </td>
      ) : (
        <>
          <Energy
            label={table.fromSun}
            kwh={sums.gainKwh}
            doubtKwh={sums.uncertaintyKwh}
            least={0}
          />
          <Energy label={table.useful} kwh={sums.usefulKwh} doubtKwh={sums.usefulUncertaintyKwh} />
          <Energy label={table.saved} kwh={sums.savedKwh} doubtKwh={sums.savedUncertaintyKwh} />
        </>
      )}
    </tr>
  );
}

/** A figure without its unit, and below it two standard uncertainties to either side. */
function Energy(props: {
  label: string;
  kwh: number | null;
  doubtKwh: number | null;
  /** What it cannot be below. */
  least?: number;
}) {
  const { label, kwh, doubtKwh, least = Number.NEGATIVE_INFINITY } = props;
  if (kwh === null) {
    return (
      <td class="muted" data-label={label}>
        {monthsWords.table.notKnown}
      </td>
    );
  }
  const [low, high] = [Math.max(least, kwh - 2 * (doubtKwh ?? 0)), kwh + 2 * (doubtKwh ?? 0)];
  return (
    <td data-label={label}>
      {say.value.energyFigure(kwh)}
      {doubtKwh !== null && (
        <Range text={monthsWords.table.range(say.value.energyRange(kwh, low, high))} />
      )}
    </td>
  );
}

/** In words it may be broken, between two figures it may not. */
function Range({ text }: { text: string }) {
  return <span class={text.includes(' ') ? 'muted under' : 'muted under whole'}>{text}</span>;
}

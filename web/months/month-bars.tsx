import type { Month } from '../../model/shapes.ts';
import { say } from '../speech.ts';
import { type Bar, type Bars, barsOf } from './bars.ts';
import { thisMonth } from './known.ts';
import { monthName, monthsWords } from './speech.ts';

/** Months as bars with their doubt; the one under way is hatched. */
export function MonthBars({ months }: { months: { name: string; month: Month | null }[] }) {
  const drawn = barsOf(months, thisMonth.value);
  if (drawn === null) return null;
  const { chart } = monthsWords;
  return (
    <figure class="chart month-bars">
      <figcaption>
        <h2>{chart.title[drawn.kind]}</h2>
      </figcaption>
      <Picture drawn={drawn} />
      <p class="key">
        {chart.key} {drawn.bars.some(({ underWay }) => underWay) && chart.keyUnderWay}
      </p>
    </figure>
  );
}

const share = (part: number) => `${(100 * part).toFixed(2)}%`;

function Picture({ drawn }: { drawn: Bars }) {
  const { bars, zero, mark } = drawn;
  return (
    <div class="picture legend">
      <svg role="img" aria-label={answerOf(drawn)}>
        <defs>
          <pattern id="under-way" width="6" height="6" patternUnits="userSpaceOnUse">
            <path class="hatch" d="M-1 7 7-1M-1 1 1-1M5 7 7 5" />
          </pattern>
        </defs>
        {mark !== null && (
          <line class="mark" x1="0" x2="100%" y1={share(mark.y)} y2={share(mark.y)} />
        )}
        {bars.map((bar) => (
          <Column key={bar.month} bar={bar} />
        ))}
        <line class="zero" x1="0" x2="100%" y1={share(zero)} y2={share(zero)} />
        {mark !== null && (
          <text class="of-mark" x="0" y={share(mark.y)} dy="-0.25em">
            {say.value.energy(mark.kwh)}
          </text>
        )}
      </svg>
      <div class="names" aria-hidden="true">
        {bars.map(({ month }) => (
          <span key={month}>{monthName(month, bars.length > 6 ? 'narrow' : 'short')}</span>
        ))}
      </div>
    </div>
  );
}

function Column({ bar }: { bar: Bar }) {
  const { kwh, x, width, top, height, high, low, underWay } = bar;
  if (kwh === null) return null;
  const doubt = high !== null && low !== null && { x1: share(x), x2: share(x) };
  const caps = { x1: share(x - width / 5), x2: share(x + width / 5) };
  return (
    <>
      <rect
        class={kwh < 0 ? 'below' : underWay ? 'sun under-way' : 'sun'}
        x={share(x - width / 2)}
        y={share(top)}
        width={share(width)}
        height={share(height)}
        rx="2"
      />
      {doubt && (
        <g class="doubt">
          <line class="ground" {...doubt} y1={share(high)} y2={share(low)} />
          <line {...doubt} y1={share(high)} y2={share(low)} />
          <line {...caps} y1={share(high)} y2={share(high)} />
          <line {...caps} y1={share(low)} y2={share(low)} />
        </g>
      )}
      <text class="figure" x={share(x)} y={share(high ?? top)} dy="-0.3em">
        {say.value.energyFigure(kwh)}
      </text>
    </>
  );
}

/** What the bars show, in words. */
function answerOf({ kind, bars }: Bars): string {
  const name = ({ month }: Bar) => say.value.month(month);
  const over = bars.filter(({ kwh, underWay }) => kwh !== null && !underWay);
  const ordered = over.toSorted((a, b) => b.kwh! - a.kwh!);
  const told = (bar: Bar | undefined) =>
    bar === undefined ? null : { month: name(bar), kwh: bar.kwh! };
  const underWay = bars.find((bar) => bar.underWay && bar.kwh !== null);
  return monthsWords.chart.answer(
    {
      of: kind,
      best: told(ordered[0]),
      least: ordered.length > 1 ? told(ordered.at(-1)) : null,
      soFar: told(underWay),
      unknown: bars.filter(({ kwh }) => kwh === null).map(name),
    },
    say.value,
  );
}

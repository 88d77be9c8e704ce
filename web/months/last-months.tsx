import type { Month } from '../../model/shapes.ts';
import { Headline } from '../headline.tsx';
import { lostAt } from '../live.ts';
import { say, words } from '../speech.ts';
import { FiguresTable } from './figures-table.tsx';
import { lastMonths, monthOf, monthsFailed, thisMonth } from './known.ts';
import { MonthBars } from './month-bars.tsx';
import { daysIn } from './month-dates.ts';
import { MonthHeadline } from './month-headline.tsx';
import { monthAddress } from './months-screen.ts';
import { Papers } from './papers.tsx';
import { monthName, monthsWords } from './speech.ts';

/** The present month in a sentence, the last twelve as bars and figures. */
export function LastMonths() {
  const months = lastMonths.value.map((name) => ({ name, month: monthOf(name) }));
  const known = months.flatMap(({ month }) => month ?? []);
  const current = monthOf(thisMonth.value);
  if (current === undefined) return <Waiting />;
  if (known.length === 0) return <Headline told={monthsWords.none} />;
  // What was before the first that was heard has no place in a picture.
  const since = months.filter(({ name }) => name >= known[0]!.month);
  const drawn = since.map(({ name, month }) => ({ name, month: month ?? null }));
  return (
    <div class="months">
      {current === null ? (
        <Headline told={monthsWords.notHeard(say.value.month(thisMonth.value))} />
      ) : (
        <MonthHeadline month={current} />
      )}
      <MonthBars months={drawn} />
      <Papers month={null} sheetOf={known.at(-1)!.month} rows={known} />
      <FiguresTable
        title={monthsWords.table.title.months}
        first={monthsWords.table.month}
        rows={drawn.toReversed().map(rowOf)}
      />
    </div>
  );
}

function rowOf({ name, month }: { name: string; month: Month | null }) {
  const days = month === null ? null : monthsWords.table.daysOf(month.days, daysIn(name));
  return { key: name, href: monthAddress(name), word: monthName(name, 'long'), sums: month, days };
}

function Waiting() {
  if (!monthsFailed.value && lostAt.value === null) {
    return <Headline told={{ sentence: words.frame.loading }} />;
  }
  return <Headline told={monthsWords.failed} />;
}

import type { Day } from '../../model/shapes.ts';
import { address } from '../address.ts';
import { Headline } from '../headline.tsx';
import { lostAt } from '../live.ts';
import { say, words } from '../speech.ts';
import { today } from '../today/shown-day.ts';
import { FiguresTable } from './figures-table.tsx';
import { daysOf, monthOf, monthsFailed, thisMonth } from './known.ts';
import { datesOf, monthAfter } from './month-dates.ts';
import { MonthHeadline } from './month-headline.tsx';
import { monthAddress } from './months-screen.ts';
import { Papers } from './papers.tsx';
import { dayName, monthsWords } from './speech.ts';

/** One month: what it came to, and its days as rows that lead to them. */
export function OpenedMonth({ month: name }: { month: string }) {
  const month = monthOf(name);
  const days = daysOf(name);
  if (month === undefined) return <Missing />;
  if (month === null) {
    return (
      <div class="months">
        <Headline told={monthsWords.notHeard(say.value.month(name))} />
        <MonthSteps month={name} />
      </div>
    );
  }
  return (
    <div class="months">
      <MonthHeadline month={month} />
      <Papers month={name} sheetOf={name} rows={days ?? []} />
      {days !== undefined && <Days month={name} days={days} />}
      <MonthSteps month={name} />
    </div>
  );
}

function Missing() {
  const lost = monthsFailed.value || lostAt.value !== null;
  return <Headline told={lost ? monthsWords.failed : { sentence: words.frame.loading }} />;
}

function Days({ month, days }: { month: string; days: Day[] }) {
  const known = new Map(days.map((day) => [day.date, day]));
  const rows = datesOf(month, today.value).map((date) => ({
    key: date,
    href: address(date === today.value ? '/' : `/day/${date}`),
    word: dayName(date),
    sums: known.get(date) ?? null,
    days: null,
  }));
  return (
    <FiguresTable
      title={monthsWords.table.title.days}
      first={monthsWords.table.day}
      rows={rows.toReversed()}
    />
  );
}

function MonthSteps({ month }: { month: string }) {
  const later = monthAfter(month, 1);
  return (
    <ul class="steps" aria-label={monthsWords.steps}>
      <li>
        <a class="button" href={monthAddress(monthAfter(month, -1))}>
          {monthsWords.before}
        </a>
      </li>
      {later <= thisMonth.value && (
        <li>
          <a class="button" href={monthAddress(later)}>
            {monthsWords.after}
          </a>
        </li>
      )}
      <li>
        <a class="button" href={address('/months')}>
          {monthsWords.all}
        </a>
      </li>
    </ul>
  );
}

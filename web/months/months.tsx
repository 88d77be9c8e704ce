import '../style/months.css';
import { Headline, ToToday } from '../headline.tsx';
import { now } from '../live.ts';
import { say } from '../speech.ts';
import { startComparing } from './compared.ts';
import { openedMonth, startMonths, thisMonth } from './known.ts';
import { LastMonths } from './last-months.tsx';
import { OpenedMonth } from './opened-month.tsx';
import { monthsWords } from './speech.ts';

/** All months, or the one that the address names. */
export function Months() {
  const opened = openedMonth.value;
  if (!now.value?.figures.timeZone) return <NoCalendar />;
  if (opened === null) return <LastMonths />;
  if (opened > thisMonth.value) {
    return <Headline told={monthsWords.notYet(say.value.month(opened))} />;
  }
  return <OpenedMonth key={opened} month={opened} />;
}

function NoCalendar() {
  return (
    <div class="first">
      <Headline told={monthsWords.noPlace} />
      <ToToday />
    </div>
  );
}

startMonths();
startComparing();

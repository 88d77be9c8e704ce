import type { Month } from '../../model/shapes.ts';
import { Headline } from '../headline.tsx';
import { lostAt, now } from '../live.ts';
import { present } from '../present.ts';
import { say, unbroken, words } from '../speech.ts';
import { outlook } from '../today/evening.ts';
import { compared } from './compared.ts';
import { thisMonth } from './known.ts';
import { monthsWords } from './speech.ts';
import { monthTold, type WhyUnknown } from './told.ts';

/** What a month came to, how old that is, and why it is not what it was a year before. */
export function MonthHeadline({ month }: { month: Month }) {
  const name = month.month === thisMonth.value ? null : say.value.month(month.month);
  const comparison = compared.value;
  return (
    <>
      <Headline told={monthTold(month, name, whyUnknown(), monthsWords, say.value)} />
      <LastKnown />
      {comparison !== null && <p>{unbroken(monthsWords.compared(comparison, say.value))}</p>}
      {now.value?.figures.workingOut && month.savedKwh !== null && <p>{words.frame.workingOut}</p>}
    </>
  );
}

function whyUnknown(): WhyUnknown {
  const look = outlook.value;
  if (look.kind === 'foreseen' && look.evening.why === 'no-backup') return 'no-backup';
  return now.value?.figures.workingOut ? 'working-out' : 'not-worked-out';
}

/** Says how old everything is while the service is out of reach. */
function LastKnown() {
  if (lostAt.value === null) return null;
  const since = say.value.moment(lostAt.value, present.value);
  const duration = words.time.duration(present.value - lostAt.value);
  return <p class="lost">{unbroken(monthsWords.lastKnown({ since, duration }))}</p>;
}

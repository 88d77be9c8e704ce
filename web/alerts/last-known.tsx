import { lostAt } from '../live.ts';
import { present } from '../present.ts';
import { unbroken, words } from '../speech.ts';
import { alertWords, moment } from './speech.ts';

/** Says how old everything is while the service is out of reach. */
export function LastKnown() {
  if (lostAt.value === null) return null;
  const duration = words.time.duration(present.value - lostAt.value);
  return (
    <p class="lost">{unbroken(alertWords.lastKnown({ since: moment(lostAt.value), duration }))}</p>
  );
}

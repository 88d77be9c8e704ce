import '../style/log.css';
import { Headline } from '../headline.tsx';
import { lostAt } from '../live.ts';
import { present } from '../present.ts';
import { say, unbroken, words } from '../speech.ts';
import { EntryList } from './entry-list.tsx';
import { whenOf } from './entry-told.ts';
import { done, entries, logFailed, mayWrite, startLog } from './known.ts';
import { isFormOpen, NewEntry } from './new-entry.tsx';
import { kindWords, logWords } from './speech.ts';
import { Trouble } from './trouble.tsx';

/** What was done to tub and loop, and what no sensor can tell. */
export function Log() {
  return (
    <div class="log">
      <Newest />
      <LastKnown />
      <p class={done.value === null ? 'unseen' : 'done'} role="status">
        {done.value}
      </p>
      {mayWrite.value === true && <NewEntry />}
      {mayWrite.value === false && <p>{logWords.viewer}</p>}
      {!isFormOpen.value && <Trouble />}
      <EntryList />
    </div>
  );
}

function Newest() {
  const [newest] = entries.value ?? [];
  if (entries.value === null) {
    const waiting = logFailed.value || lostAt.value !== null;
    return <Headline told={waiting ? logWords.failed : { sentence: words.frame.loading }} />;
  }
  if (newest === undefined) return <Headline told={logWords.none} />;
  const when = whenOf(newest, present.value, logWords, say.value);
  const planned = Date.parse(newest.from) > present.value;
  return <Headline told={logWords.newest({ name: kindWords.name[newest.kind], when, planned })} />;
}

/** Says how old everything is while the service is out of reach. */
function LastKnown() {
  if (lostAt.value === null || entries.value === null) return null;
  const since = say.value.moment(lostAt.value, present.value);
  const duration = words.time.duration(present.value - lostAt.value);
  return <p class="lost">{unbroken(logWords.lastKnown({ since, duration }))}</p>;
}

startLog();

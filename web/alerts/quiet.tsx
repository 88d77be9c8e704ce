import { useSignal } from '@preact/signals';
import type { Alert } from '../../model/shapes.ts';
import { present } from '../present.ts';
import { say, timeZone } from '../speech.ts';
import { localClock } from '../today/clock-hours.ts';
import { keepQuiet, sending, trouble } from './answering.ts';
import { quietUntil } from './handled.ts';
import { morningOf, type Place, type QuietTimes, quietTimes } from './quiet-times.ts';
import { alertWords } from './speech.ts';

const place = (): Place => ({ ...localClock(timeZone.value), dateOf: say.value.dateOf });

/** Until when nobody is to be told of it. */
export function Quiet({ alert }: { alert: Alert }) {
  const { tonight, tomorrow, week, quietMeans, tellAgain } = alertWords.answers;
  const times = quietTimes(present.value, place());
  const clock = (instant: number) => say.value.time(instant);
  const date = (instant: number) => say.value.date(say.value.dateOf(instant));
  return (
    <div class="unfolded">
      <p>{quietMeans}</p>
      <div class="pair">
        {times.tonight !== null && (
          <Until alert={alert} until={times.tonight} word={tonight(clock(times.tonight))} />
        )}
        <Until alert={alert} until={times.tomorrow} word={tomorrow(clock(times.tomorrow))} />
      </div>
      <Until alert={alert} until={times.week} word={week(date(times.week))} />
      <UntilDate alert={alert} dates={times.dates} />
      {quietUntil(alert) !== null && <Until alert={alert} until={present.value} word={tellAgain} />}
    </div>
  );
}

function Until({ alert, until, word }: { alert: Alert; until: number; word: string }) {
  return (
    <button
      type="button"
      class="button"
      disabled={sending.value}
      onClick={() => keepQuiet(alert, until)}
    >
      {word}
    </button>
  );
}

function UntilDate({ alert, dates }: { alert: Alert; dates: QuietTimes['dates'] }) {
  const { date, untilDate, wrongDate } = alertWords.answers;
  const chosen = useSignal('');

  function submit(event: Event): void {
    event.preventDefault();
    const { first, last } = dates;
    if (chosen.value < first || chosen.value > last) trouble.value = wrongDate;
    else keepQuiet(alert, morningOf(chosen.value, place()));
  }

  return (
    <form noValidate onSubmit={submit}>
      <div class="field">
        <label for="quiet-date">{date}</label>
        <input
          id="quiet-date"
          type="date"
          min={dates.first}
          max={dates.last}
          value={chosen.value}
          onInput={(event) => {
            chosen.value = event.currentTarget.value;
          }}
        />
      </div>
      <button type="submit" class="button" disabled={sending.value}>
        {untilDate}
      </button>
    </form>
  );
}

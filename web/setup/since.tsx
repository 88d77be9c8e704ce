import { signal } from '@preact/signals';
import { present } from '../present.ts';
import { say, timeZone, unbroken } from '../speech.ts';
import { localClock } from '../today/clock-hours.ts';
import type { Changes } from './changes.ts';
import { preview, type Since, trouble } from './draft.ts';
import { type Choice, sinceOf } from './since-day.ts';
import { setupWords } from './speech.ts';

const choice = signal<Choice>('now');
const day = signal('');
const isWrong = signal(false);
const told = signal<string | null>(null);

/** From when the change is to hold; null where no such day was chosen: then its field says so. */
export function chosenSince(): Since | null {
  const place = { ...localClock(timeZone.value), dateOf: say.value.dateOf };
  const since = sinceOf(choice.value, day.value, present.value, place);
  isWrong.value = since === null;
  return since;
}

function choose(next: Partial<{ choice: Choice; day: string }>): void {
  if (next.choice !== undefined) choice.value = next.choice;
  if (next.day !== undefined) day.value = next.day;
  isWrong.value = false;
  told.value = null;
  trouble.value = null;
}

/** From when a change holds, and which days that would change. */
export function SinceWhen({ changes }: { changes: () => Changes | null }) {
  const { title, now, nowHint, always, alwaysHint, date, dateHint } = setupWords.since;
  const choices = [
    ['now', now, nowHint],
    ['always', always, alwaysHint],
    ['day', date, dateHint],
  ] as const;
  return (
    <fieldset class="since">
      <legend>{title}</legend>
      {choices.map(([key, word, hint]) => (
        <label key={key} class="tick">
          <input
            type="radio"
            name="since"
            checked={choice.value === key}
            aria-describedby={`since-${key}`}
            onChange={() => choose({ choice: key })}
          />
          <span>
            {word}
            <span class="hint" id={`since-${key}`}>
              {hint}
            </span>
          </span>
        </label>
      ))}
      {choice.value === 'day' && <FirstDay />}
      <button type="button" class="button" onClick={() => ask(changes())}>
        {setupWords.preview}
      </button>
      <p role="status">{told.value && unbroken(told.value)}</p>
    </fieldset>
  );
}

function FirstDay() {
  const { firstDay, wrongDate } = setupWords.since;
  return (
    <div class="field">
      <label for="since-first-day">{firstDay}</label>
      <input
        id="since-first-day"
        type="date"
        max={say.value.dateOf(present.value)}
        value={day.value}
        aria-describedby="since-first-day-wrong"
        aria-invalid={isWrong.value ? 'true' : undefined}
        onInput={(event) => choose({ day: event.currentTarget.value })}
      />
      <span class={isWrong.value ? 'wrong' : 'unseen'} id="since-first-day-wrong">
        {isWrong.value && wrongDate}
      </span>
    </div>
  );
}

async function ask(changes: Changes | null): Promise<void> {
  told.value = null;
  const since = chosenSince();
  const dates = changes && since && (await preview(changes, since));
  if (dates === null) return;
  const [first, last] = [dates[0], dates.at(-1)];
  const days = first && last && { count: dates.length, first: dated(first), last: dated(last) };
  told.value = setupWords.previewed(days || null);
}

const dated = (date: string): string => say.value.date(date, '');

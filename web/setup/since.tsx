import { type Signal, signal } from '@preact/signals';
import { say, unbroken } from '../speech.ts';
import type { Changes } from './changes.ts';
import { preview, type Since } from './draft.ts';
import { setupWords } from './speech.ts';

const told = signal<{ since: Since; sentence: string } | null>(null);

/** From when a change holds, and which days that would change. */
export function SinceWhen(props: { since: Signal<Since>; changes: () => Changes | null }) {
  const { since, changes } = props;
  const { title, now, nowHint, always, alwaysHint } = setupWords.since;
  const choices = [
    ['now', now, nowHint],
    ['always', always, alwaysHint],
  ] as const;
  return (
    <fieldset class="since">
      <legend>{title}</legend>
      {choices.map(([key, word, hint]) => (
        <label key={key} class="tick">
          <input
            type="radio"
            name="since"
            checked={since.value === key}
            aria-describedby={`since-${key}`}
            onChange={() => {
              since.value = key;
              told.value = null;
            }}
          />
          <span>
            {word}
            <span class="hint" id={`since-${key}`}>
              {hint}
            </span>
          </span>
        </label>
      ))}
      <button type="button" class="button" onClick={() => ask(since.value, changes())}>
        {setupWords.preview}
      </button>
      <p role="status">{told.value?.since === since.value && unbroken(told.value.sentence)}</p>
    </fieldset>
  );
}

async function ask(since: Since, changes: Changes | null): Promise<void> {
  told.value = null;
  const dates = changes && (await preview(changes, since));
  if (dates === null) return;
  const [first, last] = [dates[0], dates.at(-1)];
  const days = first && last && { count: dates.length, first: dated(first), last: dated(last) };
  told.value = { since, sentence: setupWords.previewed(days || null) };
}

const dated = (date: string): string => say.value.date(date, '');

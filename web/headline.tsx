import { useEffect } from 'preact/hooks';
import { address } from './address.ts';
import { tubName } from './live.ts';
import { unbroken, words } from './speech.ts';

/** The sentence that says what is so, and the line that goes with it; the tab's title says it too. */
export function Headline({ told }: { told: { sentence: string; detail?: string } }) {
  useEffect(() => {
    const place = tubName.value ?? words.frame.program;
    document.title = `${told.sentence} ${place}`;
  }, [told.sentence, tubName.value]);
  return (
    <div class="headline">
      <div aria-live="polite">
        <h1 tabIndex={-1}>{unbroken(told.sentence)}</h1>
      </div>
      {told.detail && <p class="detail">{unbroken(told.detail)}</p>}
    </div>
  );
}

export function ToToday() {
  return (
    <p>
      <a class="button" href={address('/')}>
        {words.frame.toToday}
      </a>
    </p>
  );
}

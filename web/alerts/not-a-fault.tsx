import { useSignal } from '@preact/signals';
import type { Alert } from '../../model/shapes.ts';
import { notAFault, sending, trouble } from './answering.ts';
import { alertWords } from './speech.ts';

/** What the service takes of a reason. */
const LONGEST = 2000;

/** Ends the alert, with the reason why it is no fault. */
export function NotAFault({ alert }: { alert: Alert }) {
  const { why, whyHint, whyMissing, endIt } = alertWords.answers;
  const reason = useSignal('');

  function submit(event: Event): void {
    event.preventDefault();
    const given = reason.value.trim();
    if (given === '') trouble.value = whyMissing;
    else notAFault(alert, given);
  }

  return (
    <form class="unfolded" noValidate onSubmit={submit}>
      <div class="field">
        <label for="why">{why}</label>
        <input
          id="why"
          autocomplete="off"
          maxLength={LONGEST}
          aria-describedby="why-hint"
          value={reason.value}
          onInput={(event) => {
            reason.value = event.currentTarget.value;
          }}
        />
        <span class="hint" id="why-hint">
          {whyHint}
        </span>
      </div>
      <button type="submit" class="button" disabled={sending.value}>
        {endIt}
      </button>
    </form>
  );
}

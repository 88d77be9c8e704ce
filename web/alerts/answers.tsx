import { useEffect } from 'preact/hooks';
import type { Alert } from '../../model/shapes.ts';
import { acknowledge, begin, mayAnswer, sending, trouble, unfolded } from './answering.ts';
import { NotAFault } from './not-a-fault.tsx';
import { Quiet } from './quiet.tsx';
import { alertWords } from './speech.ts';

/** What can be said to an alert that stands, by whoever may. */
export function Answers({ alert }: { alert: Alert }) {
  const { title, viewer } = alertWords.answers;
  useEffect(begin, []);
  if (mayAnswer.value === null) return null;
  return (
    <section class="answers">
      <h2 class="unseen">{title}</h2>
      {mayAnswer.value ? <Choices alert={alert} /> : <p>{viewer}</p>}
      <p class={trouble.value === null ? 'unseen' : 'wrong'} role="alert">
        {trouble.value}
      </p>
    </section>
  );
}

function Choices({ alert }: { alert: Alert }) {
  const { seen, quietUntil, notAFault } = alertWords.answers;
  return (
    <>
      <div class="pair">
        {alert.acknowledgedAt === null && (
          <button
            type="button"
            class="button main"
            disabled={sending.value}
            onClick={() => acknowledge(alert)}
          >
            {seen}
          </button>
        )}
        <Unfolding what="quiet" word={quietUntil} />
      </div>
      {unfolded.value === 'quiet' && <Quiet alert={alert} />}
      <Unfolding what="not-a-fault" word={notAFault} />
      {unfolded.value === 'not-a-fault' && <NotAFault alert={alert} />}
    </>
  );
}

function Unfolding({ what, word }: { what: 'quiet' | 'not-a-fault'; word: string }) {
  const open = unfolded.value === what;
  return (
    <button
      type="button"
      class="button"
      aria-expanded={open}
      onClick={() => {
        trouble.value = null;
        unfolded.value = open ? null : what;
      }}
    >
      {word}
    </button>
  );
}

import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { go } from '../address.ts';
import { Headline, ToToday } from '../headline.tsx';
import { access, refresh } from '../live.ts';
import type { Screen } from '../screen.ts';
import { send } from '../service.ts';
import { words } from '../speech.ts';

/** Opening a link pairs by itself: what follows the # is a code that is good once. */

const outcome = signal<'pairing' | 'expired' | 'tooMany' | 'refused' | 'failed'>('pairing');
/** Why, in the service's own words, where the link itself is not to blame. */
const why = signal('');

async function redeem(): Promise<void> {
  const code = location.hash.slice(1);
  outcome.value = 'pairing';
  if (code === '') {
    outcome.value = 'expired';
    return;
  }
  const answer = await send('POST', '/api/pair', { code });
  if (answer.ok) {
    // The code leaves the address and the history before anything else is shown.
    go('/', true);
    await refresh();
    return;
  }
  why.value = answer.detail;
  outcome.value = failure(answer.status, answer.code);
  // A phone that was let in before needs no new link.
  await refresh();
}

/** A link is no longer good where the service says so of its code; whatever else is refused, it still is. */
function failure(status: number, code: string | undefined) {
  if (code === 'SUNSTEEP_CODE_UNKNOWN') return 'expired';
  if (status === 429) return 'tooMany';
  return status >= 400 && status < 500 ? 'refused' : 'failed';
}

function Pair() {
  useEffect(() => {
    redeem();
    addEventListener('hashchange', redeem);
    return () => removeEventListener('hashchange', redeem);
  }, []);
  const { pairing } = words;
  const told = outcome.value === 'refused' ? pairing.refused(why.value) : pairing[outcome.value];
  return (
    <div class="first">
      <Headline told={told} />
      {access.value === 'paired' ? <ToToday /> : outcome.value === 'expired' && <HowToPair />}
    </div>
  );
}

/** What stands in place of every screen on a phone that was not let in. */
export function NotPaired() {
  return (
    <div class="first">
      <Headline told={words.pairing.notPaired} />
      <HowToPair />
    </div>
  );
}

function HowToPair() {
  return (
    <div>
      <p>{words.pairing.where}</p>
      <code class="line">{words.pairing.how}</code>
      <p class="muted">{words.pairing.once}</p>
    </div>
  );
}

export const pairScreen: Screen = {
  path: /^\/pair$/,
  tab: null,
  needs: 'nothing',
  View: Pair,
};

import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { go } from '../address.ts';
import { Headline, ToToday } from '../headline.tsx';
import { access, refresh } from '../live.ts';
import type { Screen } from '../screen.ts';
import { send } from '../service.ts';
import { words } from '../speech.ts';

/** Opening a link pairs by itself: what follows the # is a code that is good once. */

const outcome = signal<'pairing' | 'expired' | 'tooMany' | 'failed'>('pairing');

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
  if (answer.status === 429) outcome.value = 'tooMany';
  else outcome.value = answer.status >= 400 && answer.status < 500 ? 'expired' : 'failed';
  // A phone that was let in before needs no new link.
  await refresh();
}

function Pair() {
  useEffect(() => {
    redeem();
    addEventListener('hashchange', redeem);
    return () => removeEventListener('hashchange', redeem);
  }, []);
  return (
    <div class="first">
      <Headline told={words.pairing[outcome.value]} />
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

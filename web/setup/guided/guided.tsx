import '../../style/setup.css';
import { effect } from '@preact/signals';
import { address, screenAddress } from '../../address.ts';
import { Headline } from '../../headline.tsx';
import { lostAt } from '../../live.ts';
import { done, fetchSetup, mayNot, trouble } from '../draft.ts';
import { guidedPath } from '../setup-screen.ts';
import { setupWords } from '../speech.ts';
import { BucketTest } from './bucket-test.tsx';
import { CupCheck } from './cup-check.tsx';
import { guidedWords } from './speech.ts';

/** The two checks that are done step by step. */
export function Guided() {
  const which = guidedPath.exec(screenAddress.value)?.[1];
  return (
    <div class="setup">
      {mayNot.value && <Headline told={guidedWords.viewer} />}
      {!mayNot.value && (which === 'cup-check' ? <CupCheck /> : <BucketTest />)}
      <p>
        <a class="button" href={address('/setup')}>
          {setupWords.all}
        </a>
      </p>
    </div>
  );
}

effect(() => {
  if (!guidedPath.test(screenAddress.value) || lostAt.value !== null) return;
  [done.value, trouble.value] = [null, null];
  fetchSetup();
});

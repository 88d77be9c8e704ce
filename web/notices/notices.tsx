import '../style/phones.css';
import { Headline } from '../headline.tsx';
import { lostAt } from '../live.ts';
import {
  cannot,
  done,
  failed,
  mayTest,
  pushState,
  sending,
  standing,
  startNotices,
  test,
  trouble,
  turnOff,
  turnOn,
} from './known.ts';
import { noticesWords } from './speech.ts';
import { WishForm } from './wish-form.tsx';

/** Whether this phone tells of alerts while the page is closed, and of which. */
export function Notices() {
  return (
    <div class="phones">
      <Top />
      <p class={done.value === null ? 'unseen' : 'done'} role="status">
        {done.value}
      </p>
      <p class={trouble.value === null ? 'unseen' : 'wrong'} role="alert">
        {trouble.value}
      </p>
      <Ways />
      {standing.value === 'on' && <HowItGoes />}
      <p class="muted">{noticesWords.noSafety}</p>
    </div>
  );
}

function Top() {
  if (cannot.value !== null) return <Headline told={noticesWords.cannot[cannot.value]} />;
  if (standing.value !== 'unknown') return <Headline told={noticesWords[standing.value]} />;
  const away = failed.value || lostAt.value !== null;
  return <Headline told={away ? noticesWords.failed : { sentence: noticesWords.loading }} />;
}

function Ways() {
  if (cannot.value !== null) return <WaysOut />;
  if (standing.value === 'unknown') return null;
  if (standing.value === 'on') {
    return (
      <>
        <WishForm />
        <div class="pair">
          {mayTest.value && (
            <button type="button" class="button" disabled={sending.value} onClick={test}>
              {sending.value ? noticesWords.testing : noticesWords.test}
            </button>
          )}
          <button type="button" class="button" disabled={sending.value} onClick={turnOff}>
            {noticesWords.turnOff}
          </button>
        </div>
      </>
    );
  }
  return (
    <>
      <p>{noticesWords.why}</p>
      <p>
        <button type="button" class="button main" disabled={sending.value} onClick={turnOn}>
          {sending.value ? noticesWords.turningOn : noticesWords.turnOn}
        </button>
      </p>
    </>
  );
}

function WaysOut() {
  const { title, certificate, proxy, mail } = noticesWords.waysOut;
  if (cannot.value === 'denied' || cannot.value === 'not-installed') return null;
  return (
    <section>
      <h2>{title}</h2>
      <ul class="rows">
        {cannot.value === 'not-secure' && (
          <>
            <li>{certificate}</li>
            <li>{proxy}</li>
          </>
        )}
        <li>{mail}</li>
      </ul>
    </section>
  );
}

/** What could not be delivered; nothing where all is well, or where this phone may not know. */
function HowItGoes() {
  const { trouble: why = null, waiting = 0 } = pushState.value ?? {};
  if (why === null && waiting === 0) return null;
  return (
    <section>
      {why !== null && <p class="wrong">{noticesWords.undelivered(why)}</p>}
      {waiting > 0 && <p>{noticesWords.waiting(waiting)}</p>}
    </section>
  );
}

startNotices();

import { signal } from '@preact/signals';
import { Fragment } from 'preact';
import { useEffect } from 'preact/hooks';
import type { Connect } from '../../model/shapes.ts';
import { address } from '../address.ts';
import { Headline } from '../headline.tsx';
import { tub } from '../live.ts';
import { present } from '../present.ts';
import { get } from '../service.ts';
import { unbroken, words } from '../speech.ts';

/** Before the first reading: what a sensor board needs to be heard. */

const connect = signal<Connect | null>(null);
const trouble = signal<'viewer' | 'failed' | null>(null);
const shown = signal(false);

/** Refused logins come while somebody types a password into a board. */
const BETWEEN_FETCHES = 10_000; // ms

async function fetchConnect(): Promise<void> {
  const answer = await get<Connect>('/api/connect');
  if (answer.ok) {
    connect.value = answer.body;
    trouble.value = null;
  } else trouble.value = answer.status === 403 ? 'viewer' : 'failed';
}

export function NothingHeard() {
  useEffect(() => {
    fetchConnect();
    const timer = setInterval(fetchConnect, BETWEEN_FETCHES);
    return () => clearInterval(timer);
  }, []);
  const known = connect.value;
  return (
    <div class="first">
      <Headline told={words.states.noReading} />
      {trouble.value !== null && known === null && <p>{words.connect[trouble.value]}</p>}
      {known !== null && (
        <>
          {known.trouble !== null && <p class="wrong">{known.trouble}</p>}
          <dl class="rows">
            <Broker known={known} />
            {known.embedded && <Login known={known} />}
            <Topics />
          </dl>
          <OwnTopics />
          <Laptop known={known} />
          <Refused known={known} />
        </>
      )}
    </div>
  );
}

function Broker({ known }: { known: Connect }) {
  const { broker, outside, outsideDetail, address, tls } = words.connect;
  return (
    <div>
      <dt>{known.embedded ? broker : outside}</dt>
      <dd>
        <strong>{address(known.host, known.port)}</strong>
        {known.tlsPort !== null && <p class="muted">{tls(known.tlsPort)}</p>}
        {!known.embedded && <p class="muted">{outsideDetail}</p>}
      </dd>
    </div>
  );
}

function Login({ known }: { known: Connect }) {
  const { userAndPassword, hidden, show, hide } = words.connect;
  return (
    <div>
      <dt>{userAndPassword}</dt>
      <dd class="login">
        <strong>{known.user}</strong>
        {known.password !== null && (
          <>
            {shown.value ? (
              <code class="big">{known.password}</code>
            ) : (
              <span class="dots" role="img" aria-label={hidden}>
                ••••••••••••
              </span>
            )}
            <button
              type="button"
              class="link-button"
              aria-pressed={shown.value}
              onClick={() => {
                shown.value = !shown.value;
              }}
            >
              {shown.value ? hide : show}
            </button>
          </>
        )}
      </dd>
    </div>
  );
}

/** A tub that was set up has its name in the topics already. */
const tubInTopics = () => tub.value ?? words.connect.tub;

function Topics() {
  const { topics, oneOrZero, tubNameHint } = words.connect;
  const name = tubInTopics();
  return (
    <div>
      <dt>{topics}</dt>
      <dd>
        <Topic parts={['sunsteep', name, 'tub', 'temperature']} />
        <Topic parts={['sunsteep', name, 'collector', 'temperature']} />
        <Topic parts={['sunsteep', name, 'pump', 'running']} />
        <p class="muted">{oneOrZero}</p>
        {tub.value === null && <p class="muted">{tubNameHint}</p>}
      </dd>
    </div>
  );
}

/** A topic that breaks at its slashes alone: at a hyphen one would not know whether to type it. */
function Topic({ parts }: { parts: string[] }) {
  return (
    <div>
      <code class="topic">
        {parts.map((part, n) => (
          <Fragment key={part}>
            <span>{n < parts.length - 1 ? `${part}/` : part}</span>
            <wbr />
          </Fragment>
        ))}
      </code>
    </div>
  );
}

/** The way to whatever else is said on the broker, with a guess of what it is. */
function OwnTopics() {
  return (
    <div>
      <p>{words.connect.ownTopics}</p>
      <p class="onward">
        <a class="button main" href={address('/setup/sensors')}>
          {words.connect.listen}
        </a>
      </p>
    </div>
  );
}

function Laptop({ known }: { known: Connect }) {
  const { laptop, laptopHint, passwordPlace, userPlace } = words.connect;
  const user = known.embedded ? known.user : userPlace;
  const password = shown.value && known.password !== null ? known.password : passwordPlace;
  return (
    <details>
      <summary>{laptop}</summary>
      <p>{laptopHint}</p>
      <code class="line">
        {`mosquitto_pub -h ${known.host} -p ${known.port} -u ${user} -P '${password}' -q 1 ` +
          `-t sunsteep/${tubInTopics()}/tub/temperature -m 36.4`}
      </code>
    </details>
  );
}

function Refused({ known }: { known: Connect }) {
  if (known.refused.length === 0) return null;
  return (
    <div class="muted">
      <p>{words.connect.refusedTitle}</p>
      <ul class="refused">
        {known.refused.map(({ address, user, why, at }) => {
          const ageMs = present.value - Date.parse(at);
          return (
            <li key={`${at} ${address} ${user}`}>
              {unbroken(words.connect.refused({ address, user, why, ageMs }))}
            </li>
          );
        })}
      </ul>
    </div>
  );
}

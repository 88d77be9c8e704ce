import '../../style/sensors.css';
import { address } from '../../address.ts';
import { Headline } from '../../headline.tsx';
import { now } from '../../live.ts';
import { say } from '../../speech.ts';
import { FoundNumbers } from './found-numbers.tsx';
import { HeardPoints } from './heard-points.tsx';
import {
  done,
  failed,
  guessed,
  listen,
  listensUntil,
  mayNot,
  startSensors,
  trouble,
} from './known.ts';
import { sensorsWords } from './speech.ts';
import { UnreadKinds } from './unread-kinds.tsx';
import { WiredByHand } from './wired-by-hand.tsx';

/** What boards send: what is placed, what is new and what it may be, and what could not be read. */
export function Sensors() {
  const points = Object.keys(now.value?.values ?? {}).length;
  const told = { heard: points, found: guessed.value.length };
  if (mayNot.value) {
    return (
      <div class="sensors">
        <Headline told={sensorsWords.viewer} />
        <HeardPoints />
      </div>
    );
  }
  return (
    <div class="sensors">
      <Headline
        told={points + told.found === 0 ? sensorsWords.nothing : sensorsWords.headline(told)}
      />
      <p class={done.value === null ? 'unseen' : 'done'} role="status">
        {done.value}
      </p>
      <p class={trouble.value === null ? 'unseen' : 'wrong'} role="alert">
        {trouble.value}
      </p>
      {failed.value && <p class="lost">{sensorsWords.failed}</p>}
      <HeardPoints />
      <FoundNumbers />
      <Onward />
      <Listening />
      <WiredByHand />
      <UnreadKinds />
    </div>
  );
}

/** Where it goes on while nothing is known of where the tub stands. */
function Onward() {
  const missing = now.value?.figures.missing ?? [];
  if (!missing.some((path) => path.startsWith('place'))) return null;
  return (
    <section class="block">
      <p>{sensorsWords.placeMissing}</p>
      <div class="buttons">
        <a class="button" href={address('/')}>
          {sensorsWords.toPlace}
        </a>
      </div>
    </section>
  );
}

function Listening() {
  const until = listensUntil.value;
  if (until !== null) {
    return <p class="muted">{sensorsWords.listening(say.value.time(Date.parse(until)))}</p>;
  }
  return (
    <div>
      <p class="muted">{sensorsWords.notListening}</p>
      <button type="button" class="button" onClick={listen}>
        {sensorsWords.listenAgain}
      </button>
    </div>
  );
}

startSensors();

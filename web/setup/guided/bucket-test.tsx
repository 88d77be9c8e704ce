import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { Headline } from '../../headline.tsx';
import { phoneTime } from '../../present.ts';
import { say, unbroken } from '../../speech.ts';
import { setupWords } from '../speech.ts';
import * as bucket from './bucket.ts';
import { guidedWords } from './speech.ts';

const { bucket: says } = guidedWords;

/** How much water flows, by three fills of a bucket. */
export function BucketTest() {
  useEffect(() => {
    bucket.fetchLearned();
  }, []);
  return (
    <>
      <Headline told={says.headline} />
      <p class="caution">{says.caution}</p>
      <ol class="steps">
        {says.prepare.map((step) => (
          <li key={step}>{step}</li>
        ))}
        <li>
          <Volume />
        </li>
        {[0, 1, 2].map((fill) => (
          <li key={fill}>
            <Fill fill={fill} />
          </li>
        ))}
      </ol>
      <Result />
    </>
  );
}

function Volume() {
  const gallons = say.value.manner.volume === 'gal';
  const wrong = bucket.litres.value === 'wrong';
  return (
    <div class="field">
      <label for="bucket-volume">
        {`${says.volume}, ${setupWords.units[gallons ? 'gallons' : 'litres']}`}
      </label>
      <input
        id="bucket-volume"
        inputMode="decimal"
        autocomplete="off"
        aria-describedby="bucket-volume-hint bucket-volume-wrong"
        aria-invalid={wrong ? 'true' : undefined}
        value={bucket.taken.value.volume}
        onInput={(event) => bucket.typeVolume(event.currentTarget.value)}
      />
      <span class="hint" id="bucket-volume-hint">
        {says.volumeHint}
      </span>
      <span class={wrong ? 'wrong' : 'unseen'} id="bucket-volume-wrong">
        {wrong && unbroken(says.wrongVolume(say.value.volume(1000)))}
      </span>
    </div>
  );
}

function Fill({ fill }: { fill: number }) {
  const { running, seconds } = bucket.taken.value;
  const isRunning = running?.fill === fill;
  const wrong = bucket.seconds.value[fill] === 'wrong';
  const id = `fill-${fill}`;
  return (
    <fieldset class="field">
      <legend>{says.fill(fill + 1)}</legend>
      {isRunning && <Watch since={running.since} />}
      <button
        type="button"
        class={isRunning ? 'button main' : 'button'}
        disabled={running !== null && !isRunning}
        onClick={() => (isRunning ? bucket.stop() : bucket.start(fill))}
      >
        {isRunning ? says.stop : says.start}
      </button>
      <label for={id}>{says.seconds}</label>
      <input
        id={id}
        inputMode="decimal"
        autocomplete="off"
        aria-describedby={`${id}-wrong`}
        aria-invalid={wrong ? 'true' : undefined}
        value={seconds[fill]}
        onInput={(event) => bucket.typeSeconds(fill, event.currentTarget.value)}
      />
      <span class={wrong ? 'wrong' : 'unseen'} id={`${id}-wrong`}>
        {wrong && says.wrongSeconds}
      </span>
    </fieldset>
  );
}

const shownAt = signal(0);

/** What has passed since the start, by the clock: however long the phone slept. */
function Watch({ since }: { since: number }) {
  useEffect(() => {
    const look = () => {
      shownAt.value = phoneTime();
    };
    look();
    const timer = setInterval(look, 100);
    return () => clearInterval(timer);
  }, []);
  const seconds = Math.max(0, shownAt.value - since) / 1000;
  return (
    <p class="timer" role="timer">
      {unbroken(says.running(say.value.number(seconds, 1)))}
    </p>
  );
}

function Result() {
  const result = bucket.result.value;
  const known = bucket.learned.value?.flowLPerMin;
  const { flow } = say.value;
  return (
    <section class="confirm">
      <p role="status" class={bucket.used.value === null ? undefined : 'done'}>
        {bucket.used.value && unbroken(bucket.used.value)}
      </p>
      {result === null || bucket.toDo.value > 0 ? (
        bucket.used.value === null && <p>{says.notYet(bucket.toDo.value)}</p>
      ) : (
        <>
          <h2>
            {unbroken(
              says.result({
                flow: `${flow(result.lPerMin)} ± ${flow(2 * result.uncertaintyLPerMin)}`,
                low: flow(result.lowest),
                high: flow(result.highest),
              }),
            )}
          </h2>
          {result.differ && <p class="wrong">{says.differ}</p>}
        </>
      )}
      {known && <p>{unbroken(says.beside({ flow: flow(known.value), basis: known.basis }))}</p>}
      <p class={bucket.trouble.value === null ? 'unseen' : 'wrong'} role="alert">
        {bucket.trouble.value}
      </p>
      {result !== null && bucket.toDo.value === 0 && (
        <button
          type="button"
          class="button main"
          disabled={bucket.sending.value}
          onClick={bucket.use}
        >
          {bucket.sending.value ? guidedWords.sending : says.use}
        </button>
      )}
      {bucket.taken.value.seconds.some((each) => each !== '') && (
        <button type="button" class="button" onClick={bucket.startOver}>
          {says.startOver}
        </button>
      )}
    </section>
  );
}

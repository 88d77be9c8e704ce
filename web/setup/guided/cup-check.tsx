import { Headline } from '../../headline.tsx';
import { now } from '../../live.ts';
import { present } from '../../present.ts';
import { say, unbroken, words } from '../../speech.ts';
import { trouble } from '../draft.ts';
import * as cup from './cup.ts';
import { guidedWords } from './speech.ts';

const { cup: says } = guidedWords;

/** Two sensors in one cup: what they differ by is offered as a correction. */
export function CupCheck() {
  const [first, second] = cup.pair.value;
  const canWatch = first !== '' && second !== '' && first !== second;
  return (
    <>
      <Headline told={says.headline} />
      <p class="caution">{says.caution}</p>
      {cup.heard.value.length < 2 && <p>{says.noSensors}</p>}
      <Sensor which={0} label={says.first} />
      <Sensor which={1} label={says.second} />
      {first !== '' && first === second && <p class="wrong">{says.same}</p>}
      <ol class="steps">
        {says.steps.map((step) => (
          <li key={step}>{step}</li>
        ))}
      </ol>
      {canWatch && (
        <section class="confirm">
          <Live point={first} />
          <Live point={second} />
          <button
            type="button"
            class={cup.watching.value ? 'button' : 'button main'}
            onClick={() => cup.watch(!cup.watching.value)}
          >
            {cup.watching.value ? says.stopWatching : says.watch}
          </button>
          {cup.watching.value && <p role="status">{unbroken(stateTold())}</p>}
          {cup.watching.value && cup.offered.value !== null && <Offer />}
          <Kept />
        </section>
      )}
      <p class={trouble.value === null ? 'unseen' : 'wrong'} role="alert">
        {trouble.value}
      </p>
    </>
  );
}

function Sensor({ which, label }: { which: 0 | 1; label: string }) {
  const id = `cup-${which}`;
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <select
        id={id}
        value={cup.pair.value[which]}
        onChange={(event) => cup.choose(which, event.currentTarget.value)}
      >
        {cup.heard.value.map((point) => (
          <option key={point} value={point}>
            {words.points.name(point)}
          </option>
        ))}
      </select>
    </div>
  );
}

function Live({ point }: { point: string }) {
  const value = now.value?.values[point];
  const name = words.points.name(point);
  if (!value?.time) return <p>{says.silent(name)}</p>;
  const told = {
    name,
    value: say.value.temperature(value.value, 2),
    age: words.time.ago(present.value - Date.parse(value.time)),
  };
  return <p>{unbroken(says.value(told))}</p>;
}

function degrees(deltaK: number): string {
  const { manner, difference, number } = say.value;
  return guidedWords.degrees(number(difference(deltaK), 2), manner.temperature);
}

function stateTold(): string {
  const state = cup.state.value;
  if (state.state === 'waiting') return says.waiting;
  if (state.state === 'moving') return says.moving;
  const apart = degrees(Math.abs(state.differenceK));
  if (state.state === 'too-far') return says.tooFar(apart);
  const [first = '', second = ''] = cup.pair.value.map(words.points.name);
  if (cup.isAlike.value) return says.alike({ first, second });
  return says.settled({ first, second, difference: apart, more: state.differenceK > 0 });
}

/** The correction, which nobody gets unasked. */
function Offer() {
  const names = cup.pair.value.map(words.points.name);
  const changed = names[cup.corrects.value]!;
  return (
    <>
      {!cup.isAlike.value && (
        <>
          <fieldset>
            <legend>{says.which}</legend>
            {([1, 0] as const).map((which) => (
              <label key={which} class="tick">
                <input
                  type="radio"
                  name="corrects"
                  checked={cup.corrects.value === which}
                  onChange={() => {
                    cup.corrects.value = which;
                  }}
                />
                <span>{says.follow({ changed: names[which]!, other: names[1 - which]! })}</span>
              </label>
            ))}
          </fieldset>
          <p>{unbroken(says.offer({ name: changed, offset: degrees(cup.offered.value!) }))}</p>
        </>
      )}
      <button type="button" class="button main" disabled={cup.sending.value} onClick={cup.use}>
        {cup.isAlike.value ? says.confirmAlike : says.use}
      </button>
    </>
  );
}

function Kept() {
  const { kept, unreachable, refused, sending, enter } = cup;
  return (
    <>
      <p class={kept.value === 'wholly' ? 'done' : 'unseen'} role="status">
        {kept.value === 'wholly' && says.used}
      </p>
      {kept.value === 'without-log' && (
        <>
          <p class="wrong">
            {says.logMissing}{' '}
            {unreachable.value ? guidedWords.unreachable : guidedWords.refused(refused.value ?? '')}
          </p>
          <button type="button" class="button" disabled={sending.value} onClick={enter}>
            {says.logAgain}
          </button>
        </>
      )}
    </>
  );
}

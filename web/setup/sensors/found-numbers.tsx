import { signal } from '@preact/signals';
import { fixedPoints, isTubName, pointType } from '../../../model/points.ts';
import type { Wiring } from '../../../model/setup.ts';
import { unitsFor } from '../../../model/units.ts';
import { now, tub } from '../../live.ts';
import { present } from '../../present.ts';
import { say, unbroken, words } from '../../speech.ts';
import { type Found, guessed, ignore, others, sending, wire } from './known.ts';
import { sensorsWords } from './speech.ts';

/** Numbers that boards send and that nothing is made of yet: each with a guess, and one tap to take it. */
export function FoundNumbers() {
  if (guessed.value.length + others.value.length === 0) return null;
  return (
    <section class="found">
      <h2>{sensorsWords.found}</h2>
      {guessed.value.map((number) => (
        <New key={`${number.topic} ${number.pointer}`} number={number} />
      ))}
      {others.value.length > 0 && (
        <details>
          <summary>{sensorsWords.others(others.value.length)}</summary>
          {others.value.map((number) => (
            <New key={`${number.topic} ${number.pointer}`} number={number} />
          ))}
        </details>
      )}
    </section>
  );
}

const opened = signal<string | null>(null);

function New({ number }: { number: Found }) {
  const { topic, pointer, value, time, mayBe } = number;
  const key = `${topic} ${pointer ?? ''}`;
  const read = mayBe ? words.points.value(mayBe.point, value, say.value) : `${value}`;
  const ago = words.time.ago(present.value - Date.parse(time));
  return (
    <section class="block">
      {mayBe && <p class="word">{sensorsWords.isNew}</p>}
      <h3>
        {topic}
        {pointer !== null && ` · ${pointer}`}
      </h3>
      <p>
        {unbroken(`${mayBe?.unit ? value : read}, ${ago}. `)}
        {mayBe && sensorsWords.guessed[mayBe.why](words.points.name(mayBe.point))}
      </p>
      <div class="buttons">
        {mayBe && tub.value !== null && (
          <button
            type="button"
            class="button main"
            disabled={sending.value}
            onClick={() => wire(wiringOf(number, tub.value!, mayBe.point, mayBe.unit))}
          >
            {words.points.name(mayBe.point)}
          </button>
        )}
        <button
          type="button"
          class="button"
          aria-expanded={opened.value === key}
          onClick={() => {
            opened.value = opened.value === key ? null : key;
          }}
        >
          {sensorsWords.somethingElse}
        </button>
        <button type="button" class="button" onClick={() => ignore(number)}>
          {sensorsWords.notMine}
        </button>
      </div>
      {opened.value === key && <Choice number={number} />}
    </section>
  );
}

function wiringOf(
  { topic, pointer }: Found,
  ofTub: string,
  point: string,
  unit: string | null,
): Wiring {
  return {
    topic,
    ...(pointer !== null && { pointer }),
    ...(unit !== null && { unit }),
    tub: ofTub,
    point,
  };
}

const chosen = signal({ point: '', unit: '', tub: '' });
const wrongTub = signal(false);

/** What a number is, where no guess was made or it was wrong. */
function Choice({ number }: { number: Found }) {
  const { form } = sensorsWords;
  const { point, unit } = chosen.value;
  const type = pointType(point);
  const taken = Object.keys(now.value?.values ?? {});
  const collectors = [1, 2, 3, 4, 5, 6].map((n) => `collector/${n}/temperature`);
  const points = [...fixedPoints, ...collectors].filter((each) => !taken.includes(each));
  async function submit(event: Event): Promise<void> {
    event.preventDefault();
    const name = tub.value ?? chosen.value.tub;
    wrongTub.value = !isTubName(name);
    if (wrongTub.value || point === '') return;
    if (await wire(wiringOf(number, name, point, unit === '' ? null : unit))) opened.value = null;
  }
  const change = (said: Partial<typeof chosen.value>) => {
    chosen.value = { ...chosen.value, ...said };
  };
  return (
    <form class="choice" noValidate onSubmit={submit}>
      {tub.value === null && (
        <div class="field">
          <label for="wire-tub">{form.tub}</label>
          <input
            id="wire-tub"
            value={chosen.value.tub}
            autocapitalize="none"
            aria-describedby="wire-tub-hint"
            aria-invalid={wrongTub.value}
            onInput={(event) => change({ tub: event.currentTarget.value })}
          />
          <span class="hint" id="wire-tub-hint">
            {wrongTub.value ? form.wrongTub : form.tubHint}
          </span>
        </div>
      )}
      <div class="field">
        <label for="wire-point">{form.what}</label>
        <select
          id="wire-point"
          value={point}
          onChange={(event) => change({ point: event.currentTarget.value, unit: '' })}
        >
          <option value="">{form.choose}</option>
          {points.map((each) => (
            <option key={each} value={each}>
              {words.points.name(each)}
            </option>
          ))}
        </select>
      </div>
      {type !== null && type.kind !== 'flag' && (
        <div class="field">
          <label for="wire-unit">{form.unit}</label>
          <select
            id="wire-unit"
            value={unit}
            onChange={(event) => change({ unit: event.currentTarget.value })}
          >
            {unitsFor(type.kind).map((each, i) => (
              <option key={each} value={i === 0 ? '' : each}>
                {each}
              </option>
            ))}
          </select>
        </div>
      )}
      <button type="submit" class="button main" disabled={sending.value || point === ''}>
        {sending.value ? form.wiring : form.wire}
      </button>
    </form>
  );
}

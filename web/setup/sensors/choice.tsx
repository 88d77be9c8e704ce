import { signal } from '@preact/signals';
import { fixedPoints, isTubName, pointType } from '../../../model/points.ts';
import { convertTo, offeredUnits } from '../../../model/units.ts';
import { now, tub } from '../../live.ts';
import { say, unbroken, words } from '../../speech.ts';
import { type Found, sending, taker, wire, wiredFor } from './known.ts';
import { sensorsWords } from './speech.ts';
import { wiringOf } from './wiring.ts';

/** What a number is, where no guess was made or it was wrong. */

/** Null where nothing was chosen: then what suggests itself holds. */
const chosen = signal<{ point: string; unit: string; tub: string | null }>({
  point: '',
  unit: '',
  tub: null,
});
const wrong = signal<'tub' | 'point' | null>(null);

const change = (said: Partial<typeof chosen.value>) => {
  chosen.value = { ...chosen.value, ...said };
  wrong.value = null;
};

/** Begins with the guess, which may be wrong in its unit alone. */
export function startChoice({ mayBe }: Found): void {
  change({ point: mayBe?.point ?? '', unit: mayBe?.unit ?? '' });
}

const tubName = (): string => tub.value ?? chosen.value.tub ?? taker.value ?? '';

async function submit(number: Found): Promise<boolean> {
  const { point, unit } = chosen.value;
  wrong.value = !isTubName(tubName()) ? 'tub' : point === '' ? 'point' : null;
  if (wrong.value === null) {
    return wire(wiringOf(number, tubName(), point, unit === '' ? null : unit));
  }
  document.getElementById(`wire-${wrong.value}`)?.focus();
  return false;
}

interface Props {
  number: Found;
  /** It is taken in. */
  taken: () => void;
}

export function Choice({ number, taken }: Props) {
  const { form } = sensorsWords;
  const { point } = chosen.value;
  const kind = pointType(point)?.kind ?? null;
  return (
    <form
      class="choice"
      noValidate
      onSubmit={async (event) => {
        event.preventDefault();
        if (await submit(number)) taken();
      }}
    >
      {tub.value === null && <TubName />}
      <div class="field">
        <label for="wire-point">{form.what}</label>
        <select
          id="wire-point"
          value={point}
          aria-describedby="wire-point-wrong"
          aria-invalid={wrong.value === 'point' ? 'true' : undefined}
          onChange={(event) => change({ point: event.currentTarget.value, unit: '' })}
        >
          <option value="">{form.choose}</option>
          {freePoints(point).map((each) => (
            <option key={each} value={each}>
              {words.points.name(each)}
            </option>
          ))}
        </select>
        <span class={wrong.value === 'point' ? 'wrong' : 'unseen'} id="wire-point-wrong">
          {wrong.value === 'point' && form.chooseFirst}
        </span>
      </div>
      {kind !== null && kind !== 'flag' && <Unit value={number.value} />}
      <button type="submit" class="button main" disabled={sending.value}>
        {sending.value ? form.wiring : form.wire}
      </button>
    </form>
  );
}

const collectors = [1, 2, 3, 4, 5, 6].map((n) => `collector/${n}/temperature`);

/** Points that nothing else tells already, and the one that was chosen. */
function freePoints(own: string): string[] {
  const known = [...Object.keys(now.value?.values ?? {}), ...wiredFor(tubName())];
  return [...fixedPoints, ...collectors].filter((each) => each === own || !known.includes(each));
}

function TubName() {
  const { form } = sensorsWords;
  const isWrong = wrong.value === 'tub';
  return (
    <div class="field">
      <label for="wire-tub">{form.tub}</label>
      <input
        id="wire-tub"
        value={tubName()}
        autocapitalize="none"
        autocomplete="off"
        aria-describedby="wire-tub-hint wire-tub-wrong"
        aria-invalid={isWrong ? 'true' : undefined}
        onInput={(event) => change({ tub: event.currentTarget.value })}
      />
      <span class="hint" id="wire-tub-hint">
        {form.tubHint}
      </span>
      <span class={isWrong ? 'wrong' : 'unseen'} id="wire-tub-wrong">
        {isWrong && form.wrongTub}
      </span>
    </div>
  );
}

/** In what unit the number is sent, and what it reads in that. */
function Unit({ value }: { value: number }) {
  const { form } = sensorsWords;
  const { point, unit } = chosen.value;
  const { kind } = pointType(point)!;
  const kept = convertTo(kind, unit === '' ? undefined : unit, value);
  return (
    <div class="field">
      <label for="wire-unit">{form.unit}</label>
      <select
        id="wire-unit"
        value={unit}
        aria-describedby="wire-unit-hint"
        onChange={(event) => change({ unit: event.currentTarget.value })}
      >
        {offeredUnits(kind).map((each, i) => (
          <option key={each} value={i === 0 ? '' : each}>
            {sensorsWords.unitName(each)}
          </option>
        ))}
      </select>
      <span class="hint" id="wire-unit-hint">
        {kept !== null && unbroken(form.reads(words.points.value(point, kept, say.value)))}
      </span>
    </div>
  );
}

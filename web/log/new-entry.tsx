import { computed, signal } from '@preact/signals';
import type { LogKind } from '../../model/owner-log.ts';
import { arrive } from '../address.ts';
import { now } from '../live.ts';
import { catchUp, present } from '../present.ts';
import { say, timeZone, words } from '../speech.ts';
import { localClock } from '../today/clock-hours.ts';
import { add, done, sending, trouble } from './known.ts';
import { entryOf, hasEnd, offered, type Said } from './said.ts';
import { kindWords, logWords } from './speech.ts';
import { Trouble } from './trouble.tsx';
import { type Place, wallOf } from './wall-time.ts';

/** What was done: one tap for what, a time that is now unless said otherwise, one tap to enter it. */

const said = signal<Said | null>(null);

export const isFormOpen = computed(() => said.value !== null);

const place = (): Place => ({ ...localClock(timeZone.value), dateOf: say.value.dateOf });

const USUAL_BATH = 2 * 3_600_000; // ms

function choose(kind: LogKind): void {
  [done.value, trouble.value] = [null, null];
  if (said.value?.kind === kind) {
    said.value = null;
    return;
  }
  const from = catchUp();
  said.value = {
    kind,
    from: wallOf(from, place()),
    until: kind === 'bathing' ? wallOf(from + USUAL_BATH, place()) : '',
    point: '',
    note: '',
  };
}

async function enter(event: Event): Promise<void> {
  event.preventDefault();
  if (said.value === null) return;
  const told = entryOf(said.value, present.value, place());
  if ('wrong' in told) {
    trouble.value = logWords.form.wrong[told.wrong];
    return;
  }
  if (!(await add(told.entry))) return;
  said.value = null;
  // What was pressed is gone; what came of it stands at the top.
  requestAnimationFrame(arrive);
}

/** A drained tub is taken into use again, one in use is drained. */
const isOffered = (kind: LogKind): boolean => {
  const drained = (now.value?.figures.drainedSince ?? null) !== null;
  return kind === 'in-use' ? drained : kind === 'drained' ? !drained : true;
};

export function NewEntry() {
  return (
    <section class="new-entry">
      <h2>{logWords.what}</h2>
      <ul class="kinds">
        {offered.filter(isOffered).map((kind) => (
          <Kind key={kind} kind={kind} />
        ))}
      </ul>
    </section>
  );
}

function Kind({ kind }: { kind: LogKind }) {
  const open = said.value?.kind === kind;
  return (
    <li class={open ? 'open' : undefined}>
      <button type="button" class="button" aria-expanded={open} onClick={() => choose(kind)}>
        {logWords.form.opens[kind] ?? kindWords.name[kind]}
      </button>
      {open && <Form said={said.value!} />}
    </li>
  );
}

function Form({ said: { kind } }: { said: Said }) {
  const { form } = logWords;
  return (
    <form class="unfolded" noValidate onSubmit={enter}>
      <p>{kindWords.changes[kind]}</p>
      <Time field="from" label={hasEnd(kind) ? form.from : form.at} />
      {hasEnd(kind) && <Time field="until" label={form.until} hint={form.untilHint[kind]} />}
      {kind === 'sensor-moved' && <Point />}
      <Note label={kind === 'remark' ? form.words : form.note} needed={kind === 'remark'} />
      <Trouble />
      <button type="submit" class="button main" disabled={sending.value}>
        {sending.value ? form.entering : form.enter}
      </button>
    </form>
  );
}

const change = (field: keyof Said, value: string) => {
  if (said.value !== null) said.value = { ...said.value, [field]: value };
};

function Time(props: { field: 'from' | 'until'; label: string; hint?: string | undefined }) {
  const { field, label, hint } = props;
  const id = `log-${field}`;
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        type="datetime-local"
        value={said.value?.[field]}
        aria-describedby={hint && `${id}-hint`}
        onInput={(event) => change(field, event.currentTarget.value)}
      />
      {hint && (
        <span class="hint" id={`${id}-hint`}>
          {hint}
        </span>
      )}
    </div>
  );
}

/** Points that have been heard; what was not heard cannot have moved. */
function Point() {
  const points = Object.keys(now.value?.values ?? {});
  return (
    <div class="field">
      <label for="log-point">{logWords.form.point}</label>
      <select
        id="log-point"
        value={said.value?.point}
        onChange={(event) => change('point', event.currentTarget.value)}
      >
        <option value="">{logWords.form.anyPoint}</option>
        {points.map((point) => (
          <option key={point} value={point}>
            {words.points.name(point)}
          </option>
        ))}
      </select>
    </div>
  );
}

/** What the service takes of a note. */
const LONGEST = 2000;

function Note({ label, needed }: { label: string; needed: boolean }) {
  return (
    <div class="field">
      <label for="log-note">{label}</label>
      <input
        id="log-note"
        autocomplete="off"
        maxLength={LONGEST}
        value={said.value?.note}
        aria-describedby={needed ? undefined : 'log-note-hint'}
        onInput={(event) => change('note', event.currentTarget.value)}
      />
      {!needed && (
        <span class="hint" id="log-note-hint">
          {logWords.form.noteHint}
        </span>
      )}
    </div>
  );
}

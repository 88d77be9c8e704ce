import { tub } from '../live.ts';
import { ownTimeZone, say } from '../speech.ts';
import type { Typed, TypedSpan } from './answer.ts';
import { standingOf } from './asked.ts';
import { saidAt } from './changes.ts';
import { isTyped, known, shown, type, wrongOf } from './draft.ts';
import type { Amount, Field } from './sections.ts';
import { Spans } from './spans.tsx';
import { setupWords } from './speech.ts';

/** One question: its words, who answered it so far, the answer, and what is wrong with it. */
export function Question({ field }: { field: Field }) {
  const { label, hint } = setupWords.questions[field.path]!;
  const [setup, of] = [known.value, tub.value!];
  const wrong = wrongOf(field);
  const standing = setupWords.standing[standingOf(setup, of, field)];
  const id = field.path.slice(1).replaceAll('/', '-');
  const kept = field.kind === 'secret' && saidAt(setup, of, field.path) !== undefined;
  const hints =
    field.kind !== 'secret' ? hint : `${hint} ${setupWords.secret[kept ? 'isKept' : 'none']}`;
  const isGroup = ['quiet', 'hours', 'bands'].includes(field.kind);
  const mark = isTyped(field) ? setupWords.unsaved : standing;
  const words = (
    <>
      {[label, field.kind === 'number' && unitOf(field.amount)].filter(Boolean).join(', ')}
      {mark && <span class="mark">{mark}</span>}
    </>
  );
  const answer = (
    <>
      <Answer field={field} id={id} isWrong={wrong !== null} />
      <span class="hint" id={`${id}-hint`}>
        {hints}
      </span>
      <span class={wrong === null ? 'unseen' : 'wrong'} id={`${id}-wrong`}>
        {wrong}
      </span>
    </>
  );
  if (isGroup) {
    return (
      <fieldset class="field" aria-describedby={`${id}-hint ${id}-wrong`}>
        <legend>{words}</legend>
        {answer}
      </fieldset>
    );
  }
  if (field.kind === 'check') {
    return (
      <div class="field">
        <label class="tick" for={id}>
          <input
            id={id}
            type="checkbox"
            checked={shown(field) === true}
            aria-describedby={`${id}-hint`}
            onChange={(event) => type(field, event.currentTarget.checked)}
          />
          <span>{words}</span>
        </label>
        <span class="hint" id={`${id}-hint`}>
          {hints}
        </span>
      </div>
    );
  }
  return (
    <div class="field">
      <label for={id}>{words}</label>
      {answer}
    </div>
  );
}

function unitOf(amount: Amount): string {
  const { temperature, volume } = say.value.manner;
  const gallons = volume === 'gal';
  const { units } = setupWords;
  if (amount === 'volume') return units[gallons ? 'gallons' : 'litres']!;
  if (amount === 'flow') return units[gallons ? 'gallonsFlow' : 'litresFlow']!;
  if (amount === 'temperature') return units[temperature]!;
  if (amount === 'difference') return units[`difference${temperature}`]!;
  if (amount === 'lossPerK') return units[`lossPer${temperature}`]!;
  return units[amount]!;
}

interface Props {
  field: Field;
  id: string;
  isWrong: boolean;
}

function Answer({ field, id, isWrong }: Props) {
  const value = shown(field);
  const told = {
    id,
    'aria-describedby': `${id}-hint ${id}-wrong`,
    'aria-invalid': isWrong ? ('true' as const) : undefined,
    value: typeof value === 'string' ? value : '',
  };
  const take = (event: { currentTarget: { value: string } }) =>
    type(field, event.currentTarget.value);
  if (field.kind === 'hours' || field.kind === 'bands') {
    const spans = value as TypedSpan[];
    return (
      <Spans
        id={id}
        spans={spans}
        priced={field.kind === 'bands'}
        take={(next: Typed) => type(field, next)}
      />
    );
  }
  if (field.kind === 'quiet') return <Quiet field={field} id={id} isWrong={isWrong} />;
  if (field.kind === 'choice') {
    const { choices = {} } = setupWords.questions[field.path]!;
    return (
      <select {...told} onChange={take}>
        {field.choices.map((each) => (
          <option key={each} value={each}>
            {choices[each]}
          </option>
        ))}
      </select>
    );
  }
  if (field.kind === 'zone') return <Zone told={told} take={take} />;
  if (field.kind === 'mails') return <textarea {...told} rows={3} onInput={take} />;
  if (field.kind === 'time') return <input {...told} type="time" onInput={take} />;
  if (field.kind === 'secret') {
    return <input {...told} type="password" autocomplete="new-password" onInput={take} />;
  }
  return (
    <input
      {...told}
      inputMode={field.kind === 'number' && field.low >= 0 ? 'decimal' : 'text'}
      autocomplete="off"
      autocapitalize="off"
      onInput={take}
    />
  );
}

interface ZoneProps {
  told: { id: string; value: string };
  take: (event: { currentTarget: { value: string } }) => void;
}

/** All zones that this browser knows; before one was chosen, the phone's own stands first. */
function Zone({ told, take }: ZoneProps) {
  const known = Intl.supportedValuesOf('timeZone');
  const first = told.value === '' ? ownTimeZone : told.value;
  const zones =
    told.value !== '' && known.includes(first) ? known : [...new Set([first, ...known])];
  return (
    <select {...told} onChange={take}>
      {told.value === '' && <option value="" />}
      {zones.map((each) => (
        <option key={each} value={each}>
          {each.replaceAll('_', ' ')}
        </option>
      ))}
    </select>
  );
}

function Quiet({ field, id, isWrong }: Props) {
  const value = shown(field) as { from: string; to: string };
  const { from, to } = setupWords.spans;
  return (
    <div class="pair">
      {(
        [
          ['from', from],
          ['to', to],
        ] as const
      ).map(([end, word]) => (
        <label key={end}>
          {word}
          <input
            id={`${id}-${end}`}
            type="time"
            value={value[end]}
            aria-invalid={isWrong ? 'true' : undefined}
            onInput={(event) => type(field, { ...value, [end]: event.currentTarget.value })}
          />
        </label>
      ))}
    </div>
  );
}

import { signal } from '@preact/signals';
import { pointType } from '../../../model/points.ts';
import { convertTo } from '../../../model/units.ts';
import { present } from '../../present.ts';
import { say, unbroken, words } from '../../speech.ts';
import { Choice, startChoice } from './choice.tsx';
import { type Found, guessed, ignore, keyOf, others, sending, taker, wire } from './known.ts';
import { sensorsWords } from './speech.ts';
import { wiringOf } from './wiring.ts';

/** Numbers that boards send and that nothing is made of yet: each with a guess, and one tap to take it. */
export function FoundNumbers() {
  if (guessed.value.length + others.value.length === 0) return null;
  return (
    <section class="found">
      <h2>{sensorsWords.found}</h2>
      {guessed.value.map((number) => (
        <New key={keyOf(number)} number={number} />
      ))}
      {others.value.length > 0 && (
        <details>
          <summary>{sensorsWords.others(others.value.length)}</summary>
          {others.value.map((number) => (
            <New key={keyOf(number)} number={number} />
          ))}
        </details>
      )}
    </section>
  );
}

const opened = signal<string | null>(null);

function turn(number: Found): void {
  opened.value = opened.value === keyOf(number) ? null : keyOf(number);
  if (opened.value !== null) startChoice(number);
}

function New({ number }: { number: Found }) {
  const { topic, pointer, time, mayBe } = number;
  const isOpen = opened.value === keyOf(number);
  const ago = words.time.ago(present.value - Date.parse(time));
  return (
    <section class="block">
      {mayBe && <p class="word">{sensorsWords.isNew}</p>}
      <h3>
        {topic}
        {pointer !== null && ` · ${pointer}`}
      </h3>
      <p>
        {unbroken(`${readOf(number)}, ${ago}. `)}
        {mayBe?.unit && unbroken(`${sensorsWords.sentAs(number.value, mayBe.unit)} `)}
        {mayBe && sensorsWords.guessed[mayBe.why](words.points.name(mayBe.point))}
      </p>
      <div class="buttons">
        {mayBe && taker.value !== null && (
          <button
            type="button"
            class="button main"
            disabled={sending.value}
            onClick={() => wire(wiringOf(number, taker.value!, mayBe.point, mayBe.unit))}
          >
            {words.points.name(mayBe.point)}
          </button>
        )}
        <button type="button" class="button" aria-expanded={isOpen} onClick={() => turn(number)}>
          {sensorsWords.somethingElse}
        </button>
        <button type="button" class="button" onClick={() => ignore(number)}>
          {sensorsWords.notMine}
        </button>
      </div>
      {isOpen && (
        <Choice
          number={number}
          taken={() => {
            opened.value = null;
          }}
        />
      )}
    </section>
  );
}

/** What a number would read as what it is taken for. */
function readOf({ value, mayBe }: Found): string {
  const kind = mayBe && pointType(mayBe.point)?.kind;
  const kept = kind ? convertTo(kind, mayBe.unit ?? undefined, value) : null;
  return kept === null ? `${value}` : words.points.value(mayBe!.point, kept, say.value);
}

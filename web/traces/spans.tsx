import { useSignal } from '@preact/signals';
import { go } from '../address.ts';
import { today } from '../today/shown-day.ts';
import { addressOf, chosen, settled, zoomAddress } from './shown-view.ts';
import { place, tracesWords } from './speech.ts';
import { daysBetween, LONGEST, SHORTEST, spanNames, stepped } from './view.ts';

/** Earlier, later, closer, wider: each an address of its own. */
export function Steps() {
  const { earlier, later, closer, wider, zoom } = tracesWords.span;
  const { from, to } = settled.value;
  const length = to - from;
  return (
    <ul class="choices four" aria-label={zoom}>
      <Choice href={addressOf(stepped(chosen.value, -1, today.value))} word={earlier} />
      <Choice
        href={isLast() ? null : addressOf(stepped(chosen.value, 1, today.value))}
        word={later}
      />
      <Choice href={length > SHORTEST ? zoomAddress(0.5) : null} word={closer} />
      <Choice href={length < LONGEST ? zoomAddress(2) : null} word={wider} />
    </ul>
  );
}

/** What comes after the present has not been. */
const isLast = () => place.value.dateOf(settled.value.to - 1) >= today.value;

function Choice(props: { href: string | null; word: string; current?: boolean }) {
  const { href, word, current } = props;
  return (
    <li>
      {href === null ? (
        <span class="button none">{word}</span>
      ) : (
        <a class="button" href={href} aria-current={current ? 'true' : undefined}>
          {word}
        </a>
      )}
    </li>
  );
}

/** How long: a span up to the last day that is looked at, or two dates. */
export function Spans() {
  const { span } = tracesWords;
  const open = useSignal(false);
  const now = chosen.value;
  const last = now.kind === 'named' ? now.last : lastDate();
  return (
    <section>
      <ul class="choices" aria-label={span.title}>
        {spanNames.map((name) => (
          <Choice
            key={name}
            href={addressOf({ kind: 'named', span: name, last })}
            word={span[name]}
            current={now.kind === 'named' && now.span === name}
          />
        ))}
        <li>
          <button
            type="button"
            class="button"
            aria-expanded={open.value}
            onClick={() => {
              open.value = !open.value;
            }}
          >
            {span.dates}
          </button>
        </li>
      </ul>
      {open.value && <Dates />}
    </section>
  );
}

/** The last day that is looked at; null where that is today or later. */
function lastDate(): string | null {
  const date = place.value.dateOf(settled.value.to - 1);
  return date >= today.value ? null : date;
}

function Dates() {
  const { first, last, show, wrong } = tracesWords.span;
  const dateOf = (t: number) => place.value.dateOf(t);
  const from = useSignal(dateOf(settled.value.from));
  const to = useSignal(dateOf(settled.value.to - 1));
  const refused = useSignal(false);

  function submit(event: Event): void {
    event.preventDefault();
    const days = daysBetween(from.value, to.value);
    refused.value = !(days >= 0 && days * 86_400_000 <= LONGEST);
    if (!refused.value) go(addressOf({ kind: 'dates', first: from.value, last: to.value }));
  }

  const field = (id: string, word: string, date: typeof from) => (
    <div class="field">
      <label for={id}>{word}</label>
      <input
        id={id}
        type="date"
        max={today.value}
        value={date.value}
        aria-describedby={refused.value ? 'traces-wrong' : undefined}
        onInput={(event) => {
          date.value = event.currentTarget.value;
        }}
      />
    </div>
  );

  return (
    <form class="unfolded" noValidate onSubmit={submit}>
      {field('traces-first', first, from)}
      {field('traces-last', last, to)}
      <p id="traces-wrong" class={refused.value ? 'wrong' : 'unseen'} role="alert">
        {refused.value ? wrong : ''}
      </p>
      <button type="submit" class="button">
        {show}
      </button>
    </form>
  );
}

import { say } from '../speech.ts';
import type { TypedSpan } from './answer.ts';
import { setupWords } from './speech.ts';

const everyDay = [1, 2, 3, 4, 5, 6, 7];

/** 2024-01-01 was a Monday. */
const dayName = (day: number): string =>
  new Intl.DateTimeFormat(say.value.manner.locale, { weekday: 'short', timeZone: 'UTC' }).format(
    Date.UTC(2024, 0, day),
  );

interface Props {
  id: string;
  spans: TypedSpan[];
  priced: boolean;
  take(spans: TypedSpan[]): void;
}

/** Hours of the week, as many as are needed; each may go over midnight. */
export function Spans({ id, spans, priced, take }: Props) {
  const { add, noHours, overMidnight } = setupWords.spans;
  const fresh: TypedSpan = { days: everyDay, from: '', to: '', ...(priced && { price: '' }) };
  return (
    <>
      {spans.length === 0 && !priced && <p>{noHours}</p>}
      {spans.map((span, place) => (
        <Span
          key={place}
          name={setupWords.spans.span(place + 1)}
          id={`${id}-${place}`}
          span={span}
          priced={priced}
          change={(part) =>
            take(spans.map((each, n) => (n === place ? { ...each, ...part } : each)))
          }
          remove={() => take(spans.filter((_, n) => n !== place))}
        />
      ))}
      {spans.length > 0 && <p class="hint">{overMidnight}</p>}
      <button type="button" class="button" id={id} onClick={() => take([...spans, fresh])}>
        {add}
      </button>
    </>
  );
}

interface SpanProps {
  name: string;
  id: string;
  span: TypedSpan;
  priced: boolean;
  change(part: Partial<TypedSpan>): void;
  remove(): void;
}

function Span({ name, id, span, priced, change, remove }: SpanProps) {
  const { days, from, to, price } = setupWords.spans;
  const toggle = (day: number) =>
    change({
      days: span.days.includes(day)
        ? span.days.filter((each) => each !== day)
        : [...span.days, day],
    });
  return (
    <fieldset class="span">
      <legend>{name}</legend>
      <fieldset class="days">
        <legend>{days}</legend>
        {everyDay.map((day) => (
          <label key={day} class="tick">
            <input type="checkbox" checked={span.days.includes(day)} onChange={() => toggle(day)} />
            <span>{dayName(day)}</span>
          </label>
        ))}
      </fieldset>
      <div class="pair">
        <label>
          {from}
          <input
            id={`${id}-from`}
            type="time"
            value={span.from}
            onInput={(event) => change({ from: event.currentTarget.value })}
          />
        </label>
        <label>
          {to}
          <input
            id={`${id}-to`}
            type="time"
            value={span.to}
            onInput={(event) => change({ to: event.currentTarget.value })}
          />
        </label>
      </div>
      {priced && (
        <label>
          {price}
          <input
            id={`${id}-price`}
            inputMode="decimal"
            autocomplete="off"
            value={span.price ?? ''}
            onInput={(event) => change({ price: event.currentTarget.value })}
          />
        </label>
      )}
      <button type="button" class="button" onClick={remove}>
        {setupWords.spans.remove}
      </button>
    </fieldset>
  );
}

import { unbroken } from '../speech.ts';
import { Sample } from './lines.tsx';
import { rowsAt, whenTold } from './reading-told.ts';
import { cursor, shown } from './shown-view.ts';
import { tracesWords } from './speech.ts';

/** What is read under the finger, line by line. */
export function Readings() {
  const at = cursor.value;
  const { from, to } = shown.value;
  if (at === null || at < from || at >= to) return <p class="muted">{tracesWords.read.hint}</p>;
  return (
    <section class="readings">
      <h2 class="muted">{unbroken(whenTold(at))}</h2>
      <dl>
        {rowsAt(at).map(({ point, name, value, range }) => (
          <div key={point}>
            <dt>
              <Sample point={point} />
              {name}
            </dt>
            <dd>
              <strong>{unbroken(value)}</strong>
              {range !== null && <span class="muted">{unbroken(range)}</span>}
            </dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

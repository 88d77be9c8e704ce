import { alertAddress } from '../alerts/alerts-screen.ts';
import { say, unbroken } from '../speech.ts';
import { fetched } from './fetched.ts';
import { marked } from './looked-at.ts';
import type { MarkedThing } from './marked.ts';
import { kindWords, tracesWords } from './speech.ts';
import { moments } from './told.ts';

/** What the numbers on the axis of time stand for. */
export function Marks() {
  const all = marked.value;
  const { from = 0, to = 1 } = fetched.value?.span ?? {};
  if (all.length === 0) return null;
  const alerts = all.filter(({ kind }) => kind === 'alert').length;
  const whole = {
    from: Math.min(from, ...all.map((each) => each.from)),
    to: Math.max(to, ...all.map((each) => each.to ?? each.from)),
  };
  const at = moments(whole, say.value);
  return (
    <details>
      <summary>{tracesWords.marks.title(alerts, all.length - alerts)}</summary>
      <ol class="marks">
        {all.map((thing) => (
          <li key={thing.number}>
            <span class={thing.kind} aria-hidden="true">
              {thing.number}
            </span>
            <Told thing={thing} at={at} />
          </li>
        ))}
      </ol>
    </details>
  );
}

function Told({ thing, at }: { thing: MarkedThing; at: (t: number) => string }) {
  const from = at(thing.from);
  if (thing.kind === 'alert') {
    const { id, says, until } = thing.alert;
    const told = { says, since: from, until: until === null ? null : at(Date.parse(until)) };
    return <a href={alertAddress(id)}>{unbroken(tracesWords.marks.alert(told))}</a>;
  }
  const { kind, note = null } = thing.entry;
  const until = thing.to === null ? null : at(thing.to);
  const told = { name: kindWords.name[kind], from, until, note };
  return <span>{unbroken(tracesWords.marks.entry(told))}</span>;
}

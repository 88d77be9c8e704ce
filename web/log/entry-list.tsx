import { signal } from '@preact/signals';
import type { LogEntryShape } from '../../model/owner-log.ts';
import { arrive } from '../address.ts';
import { present } from '../present.ts';
import { say, unbroken, words } from '../speech.ts';
import { linesOf, whenOf } from './entry-told.ts';
import { entries, mayWrite, remove, sending } from './known.ts';
import { kindWords, logWords } from './speech.ts';

/** The entry that somebody is about to remove. */
const doubted = signal<string | null>(null);

/** Every entry, the newest of what they tell first. */
export function EntryList() {
  const all = entries.value ?? [];
  if (all.length === 0) return null;
  return (
    <section>
      <h2>{logWords.entries}</h2>
      <ul class="rows">
        {all.map((entry) => (
          <Entry key={entry.id} entry={entry} />
        ))}
      </ul>
    </section>
  );
}

function Entry({ entry }: { entry: LogEntryShape }) {
  const name = kindWords.name[entry.kind];
  const when = whenOf(entry, present.value, logWords, say.value);
  const lines = linesOf(entry, words.points.name, logWords, say.value);
  const planned = Date.parse(entry.from) > present.value;
  return (
    <li>
      <h3>
        {name}
        {planned && `, ${logWords.planned}`}
      </h3>
      <p>{unbroken(when)}</p>
      {lines.map((line) => (
        <p key={line}>{unbroken(line)}</p>
      ))}
      <p class="muted">{kindWords.changes[entry.kind]}</p>
      {mayWrite.value === true && (
        <Removal entry={entry} named={logWords.removeNamed(name, when)} />
      )}
    </li>
  );
}

function Removal({ entry, named }: { entry: LogEntryShape; named: string }) {
  if (doubted.value !== entry.id) {
    return (
      <button
        type="button"
        class="link-button"
        aria-label={named}
        onClick={() => {
          doubted.value = entry.id;
        }}
      >
        {logWords.remove}
      </button>
    );
  }
  return <Sure entry={entry} />;
}

function Sure({ entry }: { entry: LogEntryShape }) {
  const takeOut = async () => {
    await remove(entry);
    doubted.value = null;
    // What was pressed is gone; what came of it stands at the top.
    requestAnimationFrame(arrive);
  };
  const keep = () => {
    doubted.value = null;
  };
  return (
    <div class="unfolded">
      <p role="alert">
        <strong>{logWords.removeSure}</strong> {logWords.removeMeans}
      </p>
      <div class="pair">
        <button type="button" class="button" disabled={sending.value} onClick={takeOut}>
          {logWords.removeIt}
        </button>
        <button type="button" class="button" onClick={keep}>
          {logWords.keepIt}
        </button>
      </div>
    </div>
  );
}

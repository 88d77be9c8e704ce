import { signal } from '@preact/signals';
import { tub } from '../../live.ts';
import { words } from '../../speech.ts';
import { sending, setup, unwire } from './known.ts';
import { sensorsWords } from './speech.ts';

const asked = signal<string | null>(null);

/** What is taken from topics of other boards, to be taken no longer. */
export function WiredByHand() {
  const wires = (setup.value?.wiring ?? []).filter(
    (wire) => tub.value === null || wire.tub === tub.value || wire.tub.includes('{'),
  );
  if (wires.length === 0) return null;
  return (
    <section>
      <h2>{sensorsWords.wiredByHand}</h2>
      <ul class="rows">
        {wires.map((wire) => {
          const key = `${wire.topic} ${wire.pointer ?? ''} ${wire.point}`;
          return (
            <li key={key}>
              <strong>{words.points.name(wire.point)}</strong>
              <p class="muted topic">
                {wire.topic}
                {wire.pointer !== undefined && ` · ${wire.pointer}`}
              </p>
              <div class="buttons">
                {asked.value === key && (
                  <button
                    type="button"
                    class="button main"
                    disabled={sending.value}
                    onClick={() => unwire(wire)}
                  >
                    {sensorsWords.unwireSure}
                  </button>
                )}
                <button
                  type="button"
                  class="button"
                  onClick={() => {
                    asked.value = asked.value === key ? null : key;
                  }}
                >
                  {asked.value === key ? sensorsWords.keepIt : sensorsWords.unwire}
                </button>
              </div>
            </li>
          );
        })}
      </ul>
    </section>
  );
}

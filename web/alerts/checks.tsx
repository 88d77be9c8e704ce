import { useSignal } from '@preact/signals';
import type { Alert } from '../../model/shapes.ts';
import { keep, kept } from '../kept.ts';
import { unbroken } from '../speech.ts';
import { alertWords } from './speech.ts';

/** The steps, in their order; which are done is remembered on this phone, alert by alert. */
export function Checks({ alert }: { alert: Alert }) {
  const key = `done.${alert.tub}.${alert.id}`;
  const done = useSignal(new Set(kept(key)?.split(' ')));

  function tick(step: string): void {
    const next = new Set(done.value);
    if (!next.delete(step)) next.add(step);
    done.value = next;
    keep(key, [...next].join(' '));
  }

  return (
    <section>
      <h2>{alertWords.checks}</h2>
      <ol class="checks">
        {alert.checks.map((check, n) => (
          <Step
            key={check}
            number={n + 1}
            check={check}
            done={done.value.has(String(n))}
            onTick={() => tick(String(n))}
          />
        ))}
      </ol>
    </section>
  );
}

function Step(props: { number: number; check: string; done: boolean; onTick: () => void }) {
  const { number, check, done, onTick } = props;
  return (
    <li>
      <label>
        <span class="tick">
          <input type="checkbox" checked={done} onChange={onTick} />
          <span aria-hidden="true">{number}</span>
        </span>
        <span>{unbroken(check)}</span>
      </label>
    </li>
  );
}

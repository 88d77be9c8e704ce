import { signal } from '@preact/signals';
import { send } from '../service.ts';
import { forget, inForce, put, sending } from './draft.ts';
import { sections } from './sections.ts';
import { setupWords } from './speech.ts';

/** Mail and webhook as they are saved: tried out, or taken away. */

type Way = 'mail' | 'webhook';

const trying = signal<Way | null>(null);
const outcome = signal<{ way: Way; says: string } | null>(null);

async function tryOut(way: Way): Promise<void> {
  [trying.value, outcome.value] = [way, null];
  const answer = await send<{ says: string }>('POST', '/api/telling/test', { channel: way });
  const says = answer.ok ? answer.body.says : answer.detail || setupWords.failed.sentence;
  outcome.value = { way, says };
  trying.value = null;
}

function end(way: Way): void {
  const fields = sections.warnings.filter(({ path }) => path.startsWith(`/notify/${way}/`));
  forget(fields);
  put(Object.fromEntries(fields.map(({ path }) => [path, {}])), 'now');
}

export function Ways() {
  const notify = inForce.value?.notify;
  const ways = (['mail', 'webhook'] as const).filter((way) => notify?.[way]);
  return (
    <>
      {ways.map((way) => (
        <div key={way} class="confirm">
          <button
            type="button"
            class="button"
            disabled={trying.value !== null}
            onClick={() => tryOut(way)}
          >
            {trying.value === way ? setupWords.test.sending : setupWords.test[way]}
          </button>
          <p class="muted">{setupWords.test.first}</p>
          <p role="status">{outcome.value?.way === way && outcome.value.says}</p>
          <button type="button" class="button" disabled={sending.value} onClick={() => end(way)}>
            {way === 'mail' ? setupWords.endMail : setupWords.endWebhook}
          </button>
        </div>
      ))}
    </>
  );
}

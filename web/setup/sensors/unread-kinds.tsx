import { guess } from '../../../model/guess.ts';
import { present } from '../../present.ts';
import { say, unbroken } from '../../speech.ts';
import { type Unread, unread } from './known.ts';
import { sensorsWords } from './speech.ts';

/** What arrived and could not be read, with the reason, and what may have been meant. */
export function UnreadKinds() {
  const { title, told, why, times, perhaps } = sensorsWords.unread;
  const kinds = unread.value;
  if (kinds.length === 0) return null;
  const all = kinds.reduce((sum, { count }) => sum + count, 0);
  return (
    <section>
      <h2>{title}</h2>
      <p>{told({ kinds: kinds.length, times: all })}</p>
      <ul class="rows">
        {kinds.map((kind) => {
          const meant = meantTopic(kind);
          return (
            <li key={`${kind.topic} ${kind.why}`}>
              <strong class="topic">{kind.topic}</strong>
              <p>{why(kind.why)}</p>
              {meant !== null && <p>{perhaps(meant)}</p>}
              <p class="muted topic">{kind.payload}</p>
              <p class="muted">
                {unbroken(
                  times(kind.count, say.value.moment(Date.parse(kind.last), present.value)),
                )}
              </p>
            </li>
          );
        })}
      </ul>
    </section>
  );
}

const nothing = { tubC: null, collectorC: null, points: [] };

/** The topic of the point that the name of an unknown one may have meant. */
export function meantTopic({ topic, payload, why }: Pick<Unread, 'topic' | 'payload' | 'why'>) {
  const [ours, tub, ...rest] = topic.split('/');
  if (ours !== 'sunsteep' || !tub || rest.length === 0 || why !== 'unknown point') return null;
  const value = Number(payload);
  if (payload.trim() === '' || !Number.isFinite(value)) return null;
  const number = { topic: rest.join('/'), pointer: null, values: [value], isSwitch: false };
  const found = guess(number, nothing);
  return found ? `sunsteep/${tub}/${found.point}` : null;
}

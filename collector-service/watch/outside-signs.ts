import type { Outside } from '../../model/minutes/minute.ts';
import type { TubSettings } from '../../model/tub-settings.ts';
import type { HearingHealth } from '../ingest/hearing.ts';
import type { Will } from '../ingest/intake.ts';

/** How boards' last wills say that they are gone, in any case; anything else says that they are there. */
const goneWords = new Set(['', '0', 'false', 'off', 'offline', 'gone', 'lost', 'dead', 'down']);

const decoder = new TextDecoder();

/** What is known of a tub's boards and of the broker beside the readings. */
export function outsideSigns(
  boards: TubSettings['boards'],
  wills: ReadonlyMap<string, Will>,
  { trouble, since }: HearingHealth,
  clocks: Outside['clocks'],
): Outside {
  const gone = boards.filter(({ willTopic }) => {
    const will = willTopic === undefined ? undefined : wills.get(willTopic);
    return will !== undefined && goneWords.has(decoder.decode(will.payload).trim().toLowerCase());
  });
  return {
    linkDownSince: trouble === null ? null : since,
    gone: new Set(gone.map(({ name }) => name)),
    clocks,
  };
}

import type { Setup, Wiring } from '../../../model/setup.ts';
import { type Answer, get, send } from '../../service.ts';

/** What takes a number of some board for a point, and what no longer does, in the set-up document. */

/** Takes a number for a point of a tub. */
export const wiringOf = (
  { topic, pointer }: { topic: string; pointer: string | null },
  tub: string,
  point: string,
  unit: string | null,
): Wiring => ({
  topic,
  ...(pointer !== null && { pointer }),
  ...(unit !== null && { unit }),
  tub,
  point,
});

export const isSameSource = (a: Wiring, b: Pick<Wiring, 'topic' | 'pointer'>): boolean =>
  a.topic === b.topic && (a.pointer ?? null) === (b.pointer ?? null);

export const wiredWith = (setup: Setup, wire: Wiring): Setup => ({
  ...setup,
  wiring: [...(setup.wiring ?? []).filter((other) => !isSameSource(other, wire)), wire],
});

export const wiredWithout = (setup: Setup, wire: Wiring): Setup => ({
  ...setup,
  wiring: (setup.wiring ?? []).filter((other) => !isSameSource(other, wire)),
});

/** How often the set-up may have been changed by somebody else meanwhile. */
const MOST_TRIES = 4;

/**
 * Changes the set-up in force, whatever others change of it at the same time.
 *
 * @param query  of the PUT: since when it holds, or that it is only tried
 */
export async function changeSetup<T = Setup>(
  change: (setup: Setup) => Setup,
  query = '',
): Promise<Answer<T>> {
  for (let tries = 1; ; tries++) {
    const read = await get<Setup>('/api/setup');
    if (!read.ok) return read;
    const headers: Record<string, string> = read.etag === null ? {} : { 'if-match': read.etag };
    const answer = await send<T>('PUT', `/api/setup${query}`, change(read.body), headers);
    if (answer.ok || answer.status !== 412 || tries === MOST_TRIES) return answer;
  }
}

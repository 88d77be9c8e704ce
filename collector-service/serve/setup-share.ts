import type { Setup } from '../../model/setup.ts';
import { type Access, covers, refused } from './access.ts';

/**
 * A right for some tubs reaches those tubs' part of the set-up. Wiring and notices are the house's:
 * a wire could bring another tub's values, so that they neither show nor change with such a right.
 */
export function shareOf(setup: Setup, access: Access): Setup {
  if (access.tubs === null) return setup;
  return { tubs: setup.tubs.filter(({ id }) => covers(access, id)) };
}

/**
 * The whole set-up with the sender's share in it.
 *
 * @throws SunsteepError SUNSTEEP_NOT_ALLOWED where what was sent reaches beyond the share
 */
export function withShare(sent: Setup, whole: Setup, access: Access): Setup {
  if (access.tubs === null) return sent;
  if (sent.wiring || sent.notify || !sent.tubs.every(({ id }) => covers(access, id))) {
    throw refused('With a right for some tubs, send those tubs alone, without wiring and notify.');
  }
  const others = whole.tubs.filter(({ id }) => !covers(access, id));
  return { ...whole, tubs: [...others, ...sent.tubs] };
}

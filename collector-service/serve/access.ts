import { SunsteepError } from '../errors.ts';
import type { Phone, Right } from '../store/store.ts';

/** What somebody may do here, and by what that is known. */
export interface Access {
  right: Right;
  /** The tubs it covers; null for all. */
  tubs: readonly string[] | null;
  /** When it ends [ms since 1970-01-01 UTC]; null for never. */
  until: number | null;
  /** The paired phone; null for the bearer token. */
  phone: string | null;
}

export const tokenAccess: Access = { right: 'full', tubs: null, until: null, phone: null };

export const accessOf = ({ right, tubs, until, id }: Phone): Access => ({
  right,
  tubs,
  until,
  phone: id,
});

export const isOver = (access: { until: number | null }, now: number): boolean =>
  access.until !== null && access.until <= now;

export const covers = (access: Access, tub: string): boolean =>
  access.tubs === null || access.tubs.includes(tub);

/**
 * What a route asks for: nothing; a right to read; a right to change; or a right to change that
 * covers every tub, for what belongs to the house as a whole.
 */
export type Needs = 'nothing' | 'viewer' | 'full' | 'full-for-all';

/** @throws SunsteepError SUNSTEEP_NOT_ALLOWED where the right does not reach */
export function mustReach(access: Access, needs: Needs): void {
  if (needs === 'viewer' || needs === 'nothing') return;
  if (access.right !== 'full') {
    throw refused('This phone may look, but not change anything or see the set-up.');
  }
  if (needs === 'full-for-all' && access.tubs !== null) {
    throw refused('This needs a right for all tubs; this phone has one for some of them.');
  }
}

/**
 * The same answer for a tub that others have and for one that does not exist: names stay untold.
 *
 * @throws SunsteepError SUNSTEEP_NOT_ALLOWED for a tub outside the right
 */
export function mustCover(access: Access, tub: string): void {
  if (!covers(access, tub)) throw refused('This phone may not see that tub.');
}

export const refused = (why: string): SunsteepError =>
  new SunsteepError('SUNSTEEP_NOT_ALLOWED', why);

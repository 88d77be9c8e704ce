import type { Setup } from '../../model/setup.ts';
import { tubSettings } from '../../model/tub-settings.ts';
import { saidAt, tubIn, valueAt } from './changes.ts';
import { type Field, type SectionName, sections } from './sections.ts';

/** What is known of the answer to a question: who gave it, and what holds meanwhile. */

export type Standing =
  /** The owner said so. */
  | 'said'
  /** A default that the owner has not confirmed. */
  | 'assumed'
  /** A default until nights, runs or a data sheet tell better. */
  | 'learned'
  | 'data-sheet'
  /** Not said, and nothing is assumed for it. */
  | 'open';

/** Seen everywhere until somebody says otherwise. */
const nowhere = { latitude: 0, longitude: 0, timeZone: 'UTC' };
const usualQuiet = { from: '22:00', to: '07:00' };

/** What is worked with while nothing is said at a path; undefined where that is nothing. */
export function defaultAt(setup: Setup, tub: string, path: string): unknown {
  if (path === '/notify/quiet') return usualQuiet;
  if (path.startsWith('/notify/') || path === '/name') return undefined;
  const said = tubIn(setup, tub);
  const place = { ...nowhere, ...said?.place };
  const value = valueAt(tubSettings({ ...said, id: tub, place }), path);
  // Where the tub stands is never assumed, and without hours a backup always may.
  if (path.startsWith('/place/') && path !== '/place/elevationM') return undefined;
  return value ?? undefined;
}

export function standingOf(setup: Setup, tub: string, field: Field): Standing {
  if (saidAt(setup, tub, field.path) !== undefined) return 'said';
  if (defaultAt(setup, tub, field.path) === undefined) return 'open';
  return (field.kind === 'number' && field.told) || 'assumed';
}

/** Fields of a section whose defaults wait to be confirmed. */
export const assumedIn = (setup: Setup, tub: string, section: SectionName): Field[] =>
  sections[section].filter((field) => standingOf(setup, tub, field) === 'assumed');

/** Fields of a section without which nothing can be worked out. */
export const missingIn = (setup: Setup, tub: string, section: SectionName): Field[] =>
  sections[section].filter(
    (field) => field.needed === 'always' && saidAt(setup, tub, field.path) === undefined,
  );

import type { Told } from './words.ts';

/** What the screen with everything beside the tabs says. */
export interface MoreWords {
  headline: Pick<Told, 'sentence'>;
  /** The screens that it leads to, and what each is for in one line. */
  places: Record<
    'log' | 'setup' | 'phones' | 'notices' | 'handover',
    { name: string; isFor: string }
  >;
}

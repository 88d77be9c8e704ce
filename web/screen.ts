import type { ComponentType } from 'preact';
import type { Words } from '../model/words/words.ts';

/** One screen of the page, reached under its own addresses. */
export interface Screen {
  /** Its addresses, after the tub's part. */
  path: RegExp;
  /** Its word in the navigation and where that leads; null where it is reached otherwise. */
  tab: { word: (words: Words) => string; href: string } | null;
  /** The screen with a tab that it is reached from, where it has none itself. */
  within?: Screen;
  /** What must be there before it makes sense: a paired phone, and a tub that was heard. */
  needs: 'nothing' | 'pairing' | 'tub';
  View: ComponentType;
  /** What stands in its place before any tub was heard; left out: how to be heard. */
  WithoutTub?: ComponentType;
}

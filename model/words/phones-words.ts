import type { Told } from './words.ts';

/** What the screen of paired phones says; apart from the other words, since Today does not need it. */
export interface PhonesWords {
  /** How many may change things and how many may look. */
  /** `all`: those of the whole house are listed, not only those of some tubs. */
  headline(listed: { full: number; viewer: number; all: boolean }): Told;
  viewer: Told;
  failed: Told;
  lastKnown(told: { since: string; duration: string }): string;
  list: string;
  right: Record<'full' | 'viewer', string>;
  you: string;
  onlyTubs(names: string): string;
  until(date: string): string;
  paired(date: string): string;
  seen(ago: string): string;
  neverSeen: string;
  rename: string;
  renameNamed(name: string): string;
  newName: string;
  wrongName: string;
  save: string;
  remove: string;
  removeNamed(name: string): string;
  removeSure(name: string): string;
  removeMeans: string;
  removeSelfSure: string;
  removeSelfMeans: string;
  removeIt: string;
  keepIt: string;
  removed(name: string): string;
  renamed(name: string): string;
  gone: string;
  unreachable: string;
  refused(why: string): string;
  links: string;
  link(right: string): string;
  linkEnds(clock: string): string;
  takeBack: string;
  takenBack: string;
  more: MorePhoneWords;
}

/** What is said while one more phone is let in. */
export interface MorePhoneWords {
  title: string;
  open: string;
  mayDo: string;
  fullMeans: string;
  viewerMeans: string;
  whichTubs: string;
  end: string;
  endHint: string;
  noTub: string;
  pastEnd: string;
  make: string;
  making: string;
  how: string;
  picture: string;
  orSend: string;
  copy: string;
  copied: string;
  /** `9 min 30 s left` */
  left(duration: string): string;
  over: string;
  once: string;
  cameIn(name: string): string;
  another: string;
  done: string;
}

import { type Item, letterOf, type Message, messageOf } from '../../model/alerts/notice.ts';
import type { NoticeKind, PhoneManner } from '../../model/alerts/telling.ts';
import { toldAlert } from '../../model/alerts/told-alert.ts';
import type { Setup, TubSetup } from '../../model/setup.ts';
import { en } from '../../model/words/en.ts';
import { enFaults } from '../../model/words/en-faults.ts';
import { enNotices } from '../../model/words/en-notices.ts';
import { plainSpeaker, speakerOf } from '../../model/words/speaker.ts';
import type { KeptAlert } from '../store/store.ts';

/** An alert that is to be told, and why. */
export interface ToWrite {
  kind: NoticeKind;
  alert: KeptAlert;
  shelvedUntil: number | null;
}

/**
 * The notice that tells of some alerts of a tub.
 *
 * @param manner  how whoever is told likes figures; left out: as the service says them
 */
export function write(
  tub: TubSetup,
  about: readonly ToWrite[],
  at: number,
  manner?: PhoneManner,
): Message {
  const { timeZone } = tub.place;
  const say = manner ? speakerOf({ ...manner, timeZone }) : plainSpeaker(timeZone);
  const words = { faults: enFaults, points: en.points };
  const items = about.map(({ kind, alert, shelvedUntil }): Item => {
    const handled = { ...alert, shelvedUntil };
    const told = toldAlert(tub.id, alert, handled, words, say);
    return { kind, alert: told, words: enFaults[alert.fault] };
  });
  return messageOf({ id: tub.id, name: tub.name ?? tub.id }, items, at, enNotices, say);
}

/** A notice at full length, in plain text. */
export function letter(message: Message, setup: Setup, url: string | null): string {
  const tub = setup.tubs.find(({ id }) => id === message.tub);
  const say = plainSpeaker(tub?.place.timeZone ?? null);
  return letterOf(message, enFaults, en.points, enNotices, say, url);
}

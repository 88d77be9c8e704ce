import type { Message } from '../../model/alerts/notice.ts';
import type { PhoneManner, Wishes } from '../../model/alerts/telling.ts';
import type { ChannelName } from '../store/store.ts';

/** Somebody, or some program, that a channel tells. */
export interface Recipient {
  /** A phone's id, or the house. */
  target: string;
  /** null: a program, which is told everything at once. */
  wishes: Wishes | null;
  /** How they like figures; left out: as the service says them. */
  manner?: PhoneManner | undefined;
  /** Whether it may hear of a tub. */
  covers: (tub: string) => boolean;
}

/** What came of sending. Sentences hold no secret and nothing that the other side said. */
export type Outcome =
  | { sent: true; trouble: string | null }
  /** `gone`: nobody is there any more, and nothing is to be tried again. */
  | { sent: false; trouble: string; gone?: true };

/** A notice on its way: what it says, and by what it is known if it comes twice. */
export interface Outgoing {
  id: string;
  message: Message;
}

/** One way to tell people or programs. */
export interface Channel {
  readonly name: ChannelName;
  /** Whom it tells as things stand; nobody where it is not set up. */
  recipients(): Promise<readonly Recipient[]>;
  /** Sends to one of them, within some ten seconds; it never throws for what goes wrong outside. */
  send(target: string, outgoing: Outgoing): Promise<Outcome>;
}

/** The one target of a channel that belongs to the house as a whole. */
export const HOUSE = 'house';
export const everyTub = (): boolean => true;

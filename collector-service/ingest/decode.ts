import type { Reading } from '../../model/readings.ts';
import type { Setup } from '../../model/setup.ts';
import type { Unreadable } from '../store/store.ts';
import { type Admission, admit, refusals, valueFault } from './admit.ts';
import { escapedText, escapedTopic } from './escaped-text.ts';
import type { Message } from './hearing.ts';
import {
  LONGEST_PAYLOAD,
  type PayloadForm,
  type Place,
  type Refusal,
  type Told,
} from './payload-form.ts';
import { plainNumberForm } from './plain-number.ts';
import { senmlForm } from './senml.ts';
import { type Route, TopicRoutes } from './topic-route.ts';
import { wiredForm } from './wired.ts';
import { compiledWiring } from './wiring.ts';

/** Every form that a payload can have; the first that fits is the one it is read in. */
const forms: readonly PayloadForm[] = [wiredForm, senmlForm, plainNumberForm];

/** What one message brought. */
export interface Decoded {
  readings: Reading[];
  unreadable: Unreadable[];
  /** From before the service subscribed and without a time of its own: last known, no reading. */
  lastKnown: Told[];
  /** Values with a time of their own, of tubs and points that there are, whether admitted or not. */
  ownTimes: Told[];
  /** The message came on the topic of a board's last will. */
  isWill: boolean;
}

const tooLong: Refusal = { why: 'the payload is over 64 KiB' };
const noWiring: Refusal = { why: 'no wiring for this topic' };

/** Reads messages as one set-up says. */
export class Decoder {
  private readonly routes: TopicRoutes;

  constructor(setup: Pick<Setup, 'tubs' | 'wiring'>) {
    this.routes = new TopicRoutes((setup.wiring ?? []).map(compiledWiring), willTopics(setup));
  }

  /** Never throws; `arrival` is ms since 1970-01-01 UTC. */
  decode(message: Message, arrival: number, admission: Admission): Decoded {
    const decoded: Decoded = {
      readings: [],
      unreadable: [],
      lastKnown: [],
      ownTimes: [],
      isWill: false,
    };
    const route = this.routes.of(message.topic);
    if (route.kind === 'will') decoded.isWill = true;
    if (route.kind === 'will' || route.kind === 'ours') return decoded;
    const refused = new Set<string>();
    for (const found of read(route, message.payload, arrival)) {
      const refusal = 'why' in found ? found : sort(found, message.earlier, admission, decoded);
      if (refusal !== null) refused.add(refusal.why);
    }
    // Each reason is told once for a message, however many of its records it holds for.
    for (const why of refused) decoded.unreadable.push(unreadable(message, why));
    return decoded;
  }
}

/** The topics that boards leave their last will on. */
export function willTopics({ tubs }: Pick<Setup, 'tubs'>): string[] {
  const boards = tubs.flatMap((tub) => tub.boards ?? []);
  return boards.flatMap((board) => board.willTopic ?? []);
}

function read(route: Route, payload: Uint8Array, arrival: number): (Told | Refusal)[] {
  if (route.kind === 'unwired') return [noWiring];
  if (route.kind !== 'place') return route.kind === 'refused' ? [{ why: route.why }] : [];
  if (payload.length > LONGEST_PAYLOAD) return [tooLong];
  return readAt(route.place, payload, arrival);
}

function readAt(place: Place, payload: Uint8Array, arrival: number): (Told | Refusal)[] {
  const form = forms.find((candidate) => candidate.fits(payload, place));
  return form?.read(payload, place, arrival) ?? [];
}

/** Puts a value where it belongs, or says why it belongs nowhere. */
function sort(told: Told, earlier: boolean, at: Admission, decoded: Decoded): Refusal | null {
  if (earlier && !told.ownTime) {
    const fault = valueFault(told.tub, told.point, told.value);
    if (fault === null) decoded.lastKnown.push(told);
    return fault;
  }
  const result = admit(told, at);
  if (told.ownTime && (!('why' in result) || result === refusals.ahead))
    decoded.ownTimes.push(told);
  if ('why' in result) return result;
  decoded.readings.push(result);
  return null;
}

const unreadable = ({ topic, payload }: Message, why: string): Unreadable => ({
  topic: escapedTopic(topic),
  payload: escapedText(payload),
  why,
});

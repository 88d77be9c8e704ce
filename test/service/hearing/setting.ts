import { admissionAt, TubsHeard } from '../../../collector-service/ingest/admit.ts';
import { Decoder } from '../../../collector-service/ingest/decode.ts';
import type { Message } from '../../../collector-service/ingest/hearing.ts';
import type { Setup, Wiring } from '../../../model/setup.ts';

/** 2026-03-02T12:00:00Z [ms] */
export const ARRIVAL = Date.UTC(2026, 2, 2, 12);

export const kowhai: Setup['tubs'][number] = {
  id: 'kowhai',
  place: { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' },
};

interface Circumstances {
  wiring?: Wiring[];
  tubs?: Setup['tubs'];
  heard?: TubsHeard;
  clockWrong?: boolean;
  earlier?: boolean;
  waited?: boolean;
}

/** What one message brings that arrives at ARRIVAL. */
export function decode(topic: string, payload: string | Uint8Array, given: Circumstances = {}) {
  const { wiring = [], tubs = [kowhai], earlier = false, waited = false } = given;
  const heard = given.heard ?? new TubsHeard(['kowhai'], []);
  const message: Message = {
    topic,
    payload: typeof payload === 'string' ? Buffer.from(payload) : payload,
    earlier,
    waited,
  };
  const admission = admissionAt(ARRIVAL, given.clockWrong ?? false, waited, heard);
  return new Decoder({ tubs, wiring }).decode(message, ARRIVAL, admission);
}

/** The values that a message brings as readings, by point. */
export function valuesOf(decoded: ReturnType<typeof decode>): Record<string, number> {
  return Object.fromEntries(decoded.readings.map(({ point, value }) => [point, value]));
}

/** Why a message is no reading, or only in part. */
export function whyNot(decoded: ReturnType<typeof decode>): string[] {
  return decoded.unreadable.map(({ why }) => why);
}

import { connect } from 'mqtt';
import { HOUR, MINUTE } from '../../model/readings.ts';
import type { Clock } from '../clock.ts';
import { type Loop, stepMs } from './loop.ts';
import { demoTub } from './place.ts';
import { demoPoints, wireUnits } from './sensors.ts';

export interface Board {
  /** The broker, such as `mqtt://127.0.0.1:1883`. */
  url: string;
  username: string;
  password: string;
  clock: Clock;
  /** Goes on from where it stands. */
  loop: Loop;
  /** Hears why the broker cannot be reached; the board itself tries again. */
  onTrouble?: (why: Error) => void;
}

const topic = `sunsteep/${demoTub.id}`;

/**
 * Sends what the loop's sensors say as a board in a shed would: every ten seconds a SenML pack with its
 * own time, at QoS 1, the next only after the last was acknowledged. What it could not send while the
 * broker was away comes afterwards; where that is over an hour, a pack a minute until it has caught up.
 *
 * @returns ends it; resolves once the connection is closed
 */
export function startBoard(board: Board): () => Promise<void> {
  const { loop, clock } = board;
  const client = connect(board.url, {
    username: board.username,
    password: board.password,
    clientId: `board-${demoTub.id}`,
    reconnectPeriod: 1000,
    // A broker that has just refused others from this address may refuse a right password too.
    reconnectOnConnackError: true,
  });
  client.on('error', (why) => board.onTrouble?.(why));
  let stopped = false;
  let timer: NodeJS.Timeout | undefined;

  const sendNext = () => {
    if (stopped) return;
    const late = clock.now() - loop.at;
    if (late < stepMs) {
      // At most a step, also where the clock was set back.
      timer = setTimeout(sendNext, Math.min(stepMs - late, stepMs));
      return;
    }
    loop.advanceTo(late > HOUR ? (Math.floor(loop.at / MINUTE) + 1) * MINUTE : loop.at + stepMs);
    // The callback comes with the acknowledgement, after as many reconnections as that takes.
    client.publish(topic, senmlPack(loop.at, loop.read()), { qos: 1 }, sendNext);
  };
  sendNext();

  return async () => {
    stopped = true;
    clearTimeout(timer);
    // An acknowledgement that is on its way is waited for, but not one whose connection broke.
    const closed = new Promise<void>((resolve) => client.once('close', resolve));
    await Promise.race([client.endAsync(!client.connected), closed]);
  };
}

/** All points at one instant as a SenML pack (RFC 8428), each in a unit of SenML. */
export function senmlPack(t: number, values: Float64Array): string {
  const records = demoPoints.map((point, i) => {
    const { unit, perPoint } = wireUnits[i]!;
    return { n: point, ...(unit === undefined ? {} : { u: unit }), v: values[i]! * perPoint };
  });
  return JSON.stringify([{ bt: t / 1000 }, ...records]);
}

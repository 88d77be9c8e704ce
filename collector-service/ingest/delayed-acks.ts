import type { IPublishPacket, MqttClient } from 'mqtt';
import mqttPacket from 'mqtt-packet';

/**
 * Acknowledging later than mqtt.js does, and many messages at a time.
 *
 * mqtt.js hands over one message at a time: `handleMessage(packet, done)`. It sends the PUBACK when
 * `done` is called, and only then looks at the next packet. To wait there until the message is on
 * disk would make one transaction of each message. So `done` is called at once, with an error: then
 * mqtt.js sends no PUBACK and goes on. The PUBACK is written here once the message is kept, to the
 * stream by which the message came; where it is not kept, or the stream has ended, never, and the
 * broker delivers the message again.
 *
 * That an error has this effect is in the source of mqtt.js 5.16.0, not in its documents. Hence the
 * exact versions of mqtt and mqtt-packet, and a test that watches the wire. Should a new version
 * break it, `take(packet).then(() => done(), done)` is the documented form, one message at a time.
 */
export function acknowledgeWhenKept(
  client: MqttClient,
  take: (packet: IPublishPacket) => Promise<void>,
  /** Called for a message that was not kept. */
  refused: (error: unknown) => void,
): void {
  const { protocolVersion } = client.options;
  let waiting = 0;
  let goOn: (() => void) | null = null;

  client.handleMessage = (packet, done) => {
    const { stream } = client;
    const settled = () => {
      waiting--;
      const held = goOn;
      goOn = null;
      held?.();
    };
    waiting++;
    take(packet).then(
      () => {
        if (packet.qos === 1 && !stream.destroyed) {
          const { messageId } = packet;
          mqttPacket.writeToStream({ cmd: 'puback', messageId }, stream, { protocolVersion });
        }
        settled();
      },
      (error) => {
        refused(error);
        settled();
      },
    );
    const next = () => (packet.qos === 1 ? done(acknowledgedElsewhere) : done());
    // The broker is held back by not looking at what it sends: some heed no receive maximum.
    if (waiting < MOST_WAITING) next();
    else goOn = next;
  };
}

/** Most messages that are taken and not yet acknowledged. */
export const MOST_WAITING = 1_000;

const acknowledgedElsewhere = new Error('acknowledged once it is kept');

import { type IClientOptions, type IStream, MqttClient } from 'mqtt';
import { type BrokerAddress, openSocket } from './broker-address.ts';
import { GuardedStream } from './guarded-stream.ts';

/** How one connects to an outside broker. */
export interface BrokerLogin {
  address: BrokerAddress;
  version: 4 | 5;
  username: string | null;
  password: string | null;
  clientId: string;
}

/** How long the broker may take to accept a connection [ms]. */
const CONNECT_TIMEOUT = 10_000;

/** How often it is asked whether it is still there [s]. */
const KEEPALIVE = 30;

/** A connection of its own, which does not come again by itself, with the packet guard before it. */
export function connectTo(login: BrokerLogin, options: IClientOptions): MqttClient {
  const { address, version, username, password, clientId } = login;
  const stream = () => new GuardedStream(openSocket(address), version) as unknown as IStream;
  return new MqttClient(stream, {
    ...options,
    protocolId: 'MQTT',
    protocolVersion: version,
    clientId,
    ...(username === null ? {} : { username }),
    ...(password === null ? {} : { password }),
    keepalive: KEEPALIVE,
    connectTimeout: CONNECT_TIMEOUT,
    reconnectPeriod: 0,
    resubscribe: false,
  });
}

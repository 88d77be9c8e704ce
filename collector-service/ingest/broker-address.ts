import { connect, isIP, type Socket } from 'node:net';
import { connect as connectTls } from 'node:tls';

/** An outside broker's address, out of `mqtt://host:port` or `mqtts://host:port`. */
export interface BrokerAddress {
  host: string;
  port: number;
  secure: boolean;
  /** As people read it. */
  shown: string;
}

/** @param url  mqtt:// or mqtts://; user and password in it are not looked at */
export function brokerAddress(url: string): BrokerAddress {
  const { protocol, hostname, port } = new URL(url);
  const secure = protocol === 'mqtts:';
  const host = hostname.replace(/^\[|\]$/g, ''); // IPv6 stands in brackets in a URL
  const number = port === '' ? (secure ? 8883 : 1883) : Number(port);
  return { host, port: number, secure, shown: `${protocol}//${hostname}:${number}` };
}

/** Opens a connection; a certificate that is not trusted ends it with an error. */
export function openSocket({ host, port, secure }: BrokerAddress): Socket {
  const socket = secure
    ? connectTls({ host, port, ...(isIP(host) === 0 ? { servername: host } : {}) })
    : connect({ host, port });
  return socket.setNoDelay(true);
}

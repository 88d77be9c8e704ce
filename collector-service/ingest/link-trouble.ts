import { PacketRefused } from './packet-guard.ts';

/** What is wrong with the link to an outside broker, in words that say what to look at. */

/** Codes of a CONNACK or a DISCONNECT: MQTT 3.1.1 §3.2.2.3 (1 to 5), MQTT 5 §2.4 (from 128). */
const brokerCodes: Record<number, string> = {
  1: 'does not speak the version of MQTT that was tried',
  132: 'does not speak the version of MQTT that was tried',
  2: 'refuses the client id of the service',
  3: 'says that it is not available',
  4: 'refuses the user name or the password: check SUNSTEEP_MQTT_USERNAME and SUNSTEEP_MQTT_PASSWORD',
  5: 'refuses the user name or the password: check SUNSTEEP_MQTT_USERNAME and SUNSTEEP_MQTT_PASSWORD',
  133: 'refuses the client id of the service',
  134: 'refuses the user name or the password: check SUNSTEEP_MQTT_USERNAME and SUNSTEEP_MQTT_PASSWORD',
  135: 'refuses the user name or the password: check SUNSTEEP_MQTT_USERNAME and SUNSTEEP_MQTT_PASSWORD',
  136: 'says that it is not available',
  137: 'says that it is too busy',
  138: 'has banned the service',
  139: 'is shutting down',
  142: 'has given the session to another connection with the same client id: does the service run twice?',
  151: 'says that a quota is used up',
  159: 'says that connections come too often',
};

const systemCodes: Record<string, string> = {
  ECONNREFUSED: 'cannot be reached: nothing listens on that port',
  ENOTFOUND: 'cannot be reached: its name is not known',
  EAI_AGAIN: 'cannot be reached: its name cannot be looked up now',
  ETIMEDOUT: 'cannot be reached: it does not answer',
  EHOSTUNREACH: 'cannot be reached: there is no way to that host',
  ENETUNREACH: 'cannot be reached: there is no way to that network',
  ECONNRESET: 'ended the connection',
  EPIPE: 'ended the connection',
};

/** What is wrong with a certificate, or with what was met instead of one. */
const secureCodes: Record<string, string> = {
  CERT_HAS_EXPIRED: 'has a certificate that has expired: renew it there',
  CERT_NOT_YET_VALID:
    'has a certificate that is not valid yet: do the clocks here and there stand right?',
  ERR_TLS_CERT_ALTNAME_INVALID: 'has a certificate that is for another name than this',
  ERR_SSL_WRONG_VERSION_NUMBER: 'does not speak TLS on that port: is it that for mqtt://?',
};

/** The connection was ended here, so that the broker delivers again what could not be kept. */
export class NotKept extends Error {
  override name = 'NotKept';
}

/** One sentence on a broker; `error` is what ended the connection, or null where nothing was said. */
export function linkTrouble(broker: string, error: unknown, wasConnected: boolean): string {
  const says = (what: string) => `The broker ${broker} ${what}${what.endsWith('?') ? '' : '.'}`;
  if (error instanceof NotKept) return says('has to wait: what it brings cannot be kept now');
  const { code, message } = (error ?? {}) as { code?: unknown; message?: unknown };
  if (typeof code === 'number' && Object.hasOwn(brokerCodes, code)) return says(brokerCodes[code]!);
  if (typeof code === 'string' && Object.hasOwn(systemCodes, code)) {
    return says(systemCodes[code]!);
  }
  if (typeof code === 'string' && Object.hasOwn(secureCodes, code)) {
    return says(secureCodes[code]!);
  }
  if (error instanceof PacketRefused) return says(`sends what cannot be: ${error.message}`);
  if (typeof code === 'string' && /CERT|SELF_SIGNED|ISSUER|ALTNAME/.test(code)) {
    return says(`has a certificate that is not trusted here (${code})`);
  }
  if (error === null) return says(wasConnected ? 'ended the connection' : 'hangs up when called');
  if (message === 'connack timeout') return says('does not answer');
  if (message === 'Keepalive timeout') return says('does not answer any more');
  if (code !== undefined) return says(`cannot be used: ${String(message)}`);
  // what the parser says has no code
  return wasConnected
    ? says(`sends what cannot be read (${String(message)})`)
    : says('answers with something else than MQTT: is that the port of a broker?');
}

/**
 * Whether a connection that was never accepted may have ended for its version of MQTT: some brokers
 * say so, some hang up without a word.
 */
export function mayRefuseVersion(error: unknown): boolean {
  const { code } = (error ?? {}) as { code?: unknown };
  return error === null || code === 1 || code === 132 || code === 'ECONNRESET' || code === 'EPIPE';
}

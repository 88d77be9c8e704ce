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

/** The connection was ended here, so that the broker delivers again what could not be kept. */
export class NotKept extends Error {
  override name = 'NotKept';
}

/** One sentence on a broker; `error` is what ended the connection, or null where nothing was said. */
export function linkTrouble(broker: string, error: unknown, wasConnected: boolean): string {
  const says = (what: string) => `The broker ${broker} ${what}.`;
  if (error instanceof NotKept) return says('has to wait: what it brings cannot be kept now');
  const { code, message } = (error ?? {}) as { code?: unknown; message?: unknown };
  if (typeof code === 'number' && Object.hasOwn(brokerCodes, code)) return says(brokerCodes[code]!);
  if (typeof code === 'string' && Object.hasOwn(systemCodes, code)) {
    return says(systemCodes[code]!);
  }
  if (typeof code === 'string' && /CERT|SELF_SIGNED|ISSUER|ALTNAME/.test(code)) {
    return says(`has a certificate that is not trusted here (${code})`);
  }
  if (error === null) return says(wasConnected ? 'ended the connection' : 'hangs up when called');
  if (message === 'connack timeout') return says('does not answer');
  return says(`cannot be used: ${String(message)}`);
}

/**
 * Whether a connection that was never accepted may have ended for its version of MQTT: some brokers
 * say so, some hang up without a word.
 */
export function mayRefuseVersion(error: unknown): boolean {
  const { code } = (error ?? {}) as { code?: unknown };
  return error === null || code === 1 || code === 132 || code === 'ECONNRESET' || code === 'EPIPE';
}

import { readFileSync } from 'node:fs';
import { isIP } from 'node:net';
import { createSecureContext } from 'node:tls';
import { z } from 'zod';
import { SunsteepError } from './errors.ts';

/** What the environment tells the service, checked; what may be left out and was is null. */
export interface Settings {
  /** Folder of everything that is kept. */
  data: string;
  host: string;
  /** 0: any free port. */
  port: number;
  /** Scheme, host and port that phones use, without a slash at the end. */
  url: string | null;
  token: string | null;
  /** The outside broker; null: the embedded one. */
  outsideBroker: OutsideBroker | null;
  /** The embedded broker; null where an outside one is used. */
  broker: EmbeddedBroker | null;
  /** Certificate and key, as read from their files. */
  tls: { cert: string; key: string } | null;
  logLevel: LogLevel;
}

export interface OutsideBroker {
  /** mqtt:// or mqtts://, without user and password. */
  url: string;
  username: string | null;
  password: string | null;
}

export interface EmbeddedBroker {
  host: string;
  /** 0: any free port. */
  port: number;
  /** MQTT over TLS, where there is a certificate; 0 beside a `port` of 0. */
  tlsPort: number;
  /** For the user `sensor`; null: made at the first start. */
  password: string | null;
  /** For the user `reader`; null: there is none. */
  readerPassword: string | null;
}

export const logLevels = ['fatal', 'error', 'warn', 'info', 'debug', 'trace', 'silent'] as const;
export type LogLevel = (typeof logLevels)[number];

const MQTT_TLS_PORT = 8883; // IANA: secure-mqtt

const port = z
  .string()
  .regex(/^\d{1,5}$/)
  .transform(Number)
  .refine((number) => number <= 65_535);

const hostName = /^(?=.{1,253}$)[A-Za-z0-9]([A-Za-z0-9-]*[A-Za-z0-9])?(\.[A-Za-z0-9-]+)*$/;
const host = z.string().refine((name) => isIP(name) !== 0 || hostName.test(name));

const password = z.string().min(1).max(1000);

/** Visible ASCII alone: whatever else cannot stand in an Authorization header (RFC 6750 §2.1). */
const token = z.string().regex(/^[\x21-\x7e]{32,1000}$/);

const phonesUrl = z
  .string()
  .refine((text) => {
    const url = parsedUrl(text);
    return (
      url !== null &&
      /^https?:$/.test(url.protocol) &&
      url.pathname === '/' &&
      url.username + url.password + url.search + url.hash === ''
    );
  })
  .transform((text) => new URL(text).origin);

const brokerUrl = z.string().refine((text) => {
  const url = parsedUrl(text);
  return (
    url !== null &&
    /^mqtts?:$/.test(url.protocol) &&
    url.hostname !== '' &&
    /^\/?$/.test(url.pathname) &&
    url.search + url.hash === ''
  );
});

/** Every setting: how it is checked, what is allowed in words, and whether its value is a secret. */
const known = {
  SUNSTEEP_DATA: { is: z.string().min(1), allowed: 'a folder' },
  SUNSTEEP_HOST: { is: host, allowed: 'an IP address or a host name to listen on' },
  SUNSTEEP_PORT: { is: port, allowed: 'a whole number from 0 to 65535' },
  SUNSTEEP_URL: {
    is: phonesUrl,
    allowed: 'an http:// or https:// address without a path, such as https://tub.example:8443',
  },
  SUNSTEEP_TOKEN: {
    is: token,
    allowed: '32 to 1000 visible ASCII characters without spaces',
    secret: true,
  },
  SUNSTEEP_MQTT_URL: {
    is: brokerUrl,
    allowed: 'an mqtt:// or mqtts:// address with a host and no path, such as mqtts://broker:8883',
  },
  SUNSTEEP_MQTT_USERNAME: { is: z.string().min(1).max(1000), allowed: '1 to 1000 characters' },
  SUNSTEEP_MQTT_PASSWORD: { is: password, allowed: '1 to 1000 characters', secret: true },
  SUNSTEEP_BROKER_HOST: { is: host, allowed: 'an IP address or a host name to listen on' },
  SUNSTEEP_BROKER_PORT: { is: port, allowed: 'a whole number from 0 to 65535' },
  SUNSTEEP_BROKER_PASSWORD: { is: password, allowed: '1 to 1000 characters', secret: true },
  SUNSTEEP_BROKER_READER_PASSWORD: { is: password, allowed: '1 to 1000 characters', secret: true },
  SUNSTEEP_TLS_CERT: { is: z.string().min(1), allowed: 'a PEM file that can be read' },
  SUNSTEEP_TLS_KEY: { is: z.string().min(1), allowed: 'a PEM file that can be read' },
  SUNSTEEP_LOG_LEVEL: { is: z.enum(logLevels), allowed: `one of ${logLevels.join(', ')}` },
} satisfies Record<string, { is: z.ZodType; allowed: string; secret?: true }>;

type Name = keyof typeof known;
type Given = <N extends Name>(name: N) => z.infer<(typeof known)[N]['is']> | null;

/**
 * Reads the settings, all of which may be left out, from the environment.
 *
 * @throws SunsteepError SUNSTEEP_SETTING_INVALID, one line that names the setting, what was given
 *   and what is allowed; the value of a secret never stands in it
 */
export function readSettings(env: Record<string, string | undefined>): Settings {
  refuseUnknownNames(env);
  const outside = env.SUNSTEEP_MQTT_URL !== undefined;
  const given: Given = (name) => check(name, env[name]);
  return {
    data: given('SUNSTEEP_DATA') ?? './data',
    host: given('SUNSTEEP_HOST') ?? '0.0.0.0',
    port: given('SUNSTEEP_PORT') ?? 8080,
    url: given('SUNSTEEP_URL'),
    token: given('SUNSTEEP_TOKEN'),
    outsideBroker: outside ? outsideBroker(given) : null,
    broker: outside ? null : embeddedBroker(given),
    tls: tlsFiles(given('SUNSTEEP_TLS_CERT'), given('SUNSTEEP_TLS_KEY')),
    logLevel: given('SUNSTEEP_LOG_LEVEL') ?? 'info',
  };
}

function outsideBroker(given: Given): OutsideBroker {
  const url = new URL(given('SUNSTEEP_MQTT_URL')!);
  const username = given('SUNSTEEP_MQTT_USERNAME') ?? (decodeURIComponent(url.username) || null);
  const password = given('SUNSTEEP_MQTT_PASSWORD') ?? (decodeURIComponent(url.password) || null);
  // MQTT 3.1.1 [MQTT-3.1.2-22]: no password without a user name
  if (password !== null && username === null) {
    refuse('SUNSTEEP_MQTT_USERNAME', 'nothing', 'a user name beside SUNSTEEP_MQTT_PASSWORD');
  }
  return { url: `${url.protocol}//${url.host}`, username, password };
}

function embeddedBroker(given: Given): EmbeddedBroker {
  const port = given('SUNSTEEP_BROKER_PORT') ?? 1883;
  return {
    host: given('SUNSTEEP_BROKER_HOST') ?? '0.0.0.0',
    port,
    tlsPort: port === 0 ? 0 : MQTT_TLS_PORT,
    password: given('SUNSTEEP_BROKER_PASSWORD'),
    readerPassword: given('SUNSTEEP_BROKER_READER_PASSWORD'),
  };
}

function tlsFiles(certFile: string | null, keyFile: string | null): Settings['tls'] {
  if (certFile === null && keyFile === null) return null;
  if (certFile === null) refuse('SUNSTEEP_TLS_CERT', 'nothing', 'a file beside SUNSTEEP_TLS_KEY');
  if (keyFile === null) refuse('SUNSTEEP_TLS_KEY', 'nothing', 'a file beside SUNSTEEP_TLS_CERT');
  const cert = readPem('SUNSTEEP_TLS_CERT', certFile);
  const key = readPem('SUNSTEEP_TLS_KEY', keyFile);
  pemFits('SUNSTEEP_TLS_CERT', certFile, 'a certificate in PEM', { cert });
  pemFits('SUNSTEEP_TLS_KEY', keyFile, 'the key in PEM of SUNSTEEP_TLS_CERT', { cert, key });
  return { cert, key };
}

function readPem(name: Name, file: string): string {
  try {
    return readFileSync(file, 'utf8');
  } catch (cause) {
    const why = (cause as NodeJS.ErrnoException).code ?? 'unreadable';
    return refuse(name, `${shown(file)} (${why})`, known[name].allowed, cause);
  }
}

function pemFits(name: Name, file: string, allowed: string, pem: { cert: string; key?: string }) {
  try {
    createSecureContext(pem);
  } catch (cause) {
    refuse(name, shown(file), allowed, cause);
  }
}

function check<N extends Name>(
  name: N,
  value: string | undefined,
): z.infer<(typeof known)[N]['is']> | null {
  if (value === undefined) return null;
  const setting: { is: z.ZodType; allowed: string; secret?: true } = known[name];
  const result = setting.is.safeParse(value);
  if (result.success) return result.data as z.infer<(typeof known)[N]['is']>;
  const characters = `${[...value].length} characters`;
  return refuse(name, setting.secret ? characters : shown(withoutPassword(value)), setting.allowed);
}

/** Letters that a slip of the pen puts wrong; a name that is further off is somebody else's. */
const SLIP = 3;

/** A misspelt name would be a setting that silently does not hold. */
function refuseUnknownNames(env: Record<string, string | undefined>): void {
  for (const name of Object.keys(env)) {
    if (!name.startsWith('SUNSTEEP_') || Object.hasOwn(known, name)) continue;
    const nearest = Object.keys(known).reduce((a, b) =>
      distance(name, b) < distance(name, a) ? b : a,
    );
    if (distance(name, nearest) > SLIP) continue;
    throw new SunsteepError(
      'SUNSTEEP_SETTING_INVALID',
      `${shown(name)} is no setting of Sunsteep; the nearest that is one is ${nearest}.`,
    );
  }
}

function refuse(name: Name, given: string, allowed: string, cause?: unknown): never {
  throw new SunsteepError(
    'SUNSTEEP_SETTING_INVALID',
    `${name} is wrong: given ${given}, allowed is ${allowed}.`,
    { cause },
  );
}

/** In quotes on one line, whatever it holds; JSON leaves the controls above ASCII as they are. */
const shown = (text: string): string =>
  JSON.stringify(text.length > 200 ? `${text.slice(0, 200)}…` : text).replace(
    /\p{Cc}/gu,
    (sign) => `\\u${sign.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );

/** An address may carry a password before its @. */
const withoutPassword = (text: string): string => text.replace(/^([a-z]+:\/\/)?.*@/is, '$1…@');

/** null for what is no URL; white space, which URL drops without a word, is none of one either. */
function parsedUrl(text: string): URL | null {
  try {
    const url = new URL(text);
    decodeURIComponent(url.username + url.password);
    return /\s/.test(text) ? null : url;
  } catch {
    return null;
  }
}

/** How many letters must be put in, taken out or changed to make `a` into `b` (Levenshtein). */
function distance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = row[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1);
      next[j] = Math.min(change, row[j]! + 1, next[j - 1]! + 1);
    }
    row = next;
  }
  return row[b.length]!;
}

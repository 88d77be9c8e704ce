import { type DestinationStream, type Logger, pino } from 'pino';
import type { LogLevel } from '../settings.ts';

/** Whatever opens a door. An error's own `code` is none, so that a pairing code is named by place. */
const secrets = [
  ...['authorization', 'cookie', 'set-cookie', 'token', 'password', 'link'].flatMap((name) => [
    `["${name}"]`,
    `*["${name}"]`,
    `*.headers["${name}"]`,
  ]),
  'code',
  'body.code',
  '*.body.code',
];

/** The service's log: JSON lines without secrets, on standard error unless told otherwise. */
export const makeLog = (level: LogLevel, to: DestinationStream = pino.destination(2)): Logger =>
  pino({ level, redact: secrets }, to);

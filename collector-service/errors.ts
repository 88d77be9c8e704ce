/**
 * Failures that somebody must act on. Each code stands once here, with the HTTP status that a
 * problem document carries and the exit code that a command ends with; docs/errors.md explains each.
 */
export const errorCodes = {
  SUNSTEEP_SETTING_INVALID: { status: 500, exit: 2 },
  SUNSTEEP_CALL_INVALID: { status: 400, exit: 2 },
  SUNSTEEP_SETUP_INVALID: { status: 422, exit: 1 },
  SUNSTEEP_SETUP_CHANGED: { status: 412, exit: 1 },
  SUNSTEEP_FILE_UNREADABLE: { status: 400, exit: 1 },
  SUNSTEEP_STORE_BUSY: { status: 503, exit: 1 },
  SUNSTEEP_STORE_DISK_FULL: { status: 503, exit: 1 },
  SUNSTEEP_STORE_READ_ONLY: { status: 503, exit: 1 },
  SUNSTEEP_STORE_DAMAGED: { status: 503, exit: 1 },
  SUNSTEEP_STORE_FOREIGN: { status: 503, exit: 1 },
  SUNSTEEP_STORE_NEWER: { status: 503, exit: 1 },
  SUNSTEEP_PORT_TAKEN: { status: 500, exit: 1 },
  SUNSTEEP_NOT_ALLOWED: { status: 403, exit: 1 },
  SUNSTEEP_NOT_PAIRED: { status: 401, exit: 1 },
  SUNSTEEP_CODE_UNKNOWN: { status: 403, exit: 1 },
  SUNSTEEP_NOT_FOUND: { status: 404, exit: 1 },
  SUNSTEEP_NOT_CONFIRMED: { status: 409, exit: 1 },
  SUNSTEEP_TOO_LARGE: { status: 413, exit: 1 },
  SUNSTEEP_MEDIA_UNSUPPORTED: { status: 415, exit: 1 },
  SUNSTEEP_TOO_MANY: { status: 429, exit: 1 },
  SUNSTEEP_FAILED: { status: 500, exit: 1 },
} as const;

export type ErrorCode = keyof typeof errorCodes;

/** A refused field of something that was sent: where it stands (JSON Pointer) and why. */
export interface Fault {
  path: string;
  why: string;
}

/** What went wrong, what was given, and what is allowed or what to do next, in one line. */
export class SunsteepError extends Error {
  readonly code: ErrorCode;
  readonly faults: readonly Fault[];

  constructor(
    code: ErrorCode,
    message: string,
    options: { cause?: unknown; faults?: Fault[] } = {},
  ) {
    super(message, { cause: options.cause });
    this.name = 'SunsteepError';
    this.code = code;
    this.faults = options.faults ?? [];
  }
}

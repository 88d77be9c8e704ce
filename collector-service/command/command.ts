import { type ParseArgsConfig, parseArgs } from 'node:util';
import { SunsteepError } from '../errors.ts';

/** Where a command says things; standard output belongs to its result alone. */
export interface Io {
  env: Record<string, string | undefined>;
  out(text: string): void;
  /** Progress and remarks, on standard error. */
  note(line: string): void;
  /** A line that replaces the one before, where standard error is a terminal; '' clears it. */
  progress(line: string): void;
}

/** One command of the command line. */
export interface Command {
  name: string;
  /** What follows the name, e.g. `--tub T READINGS.csv…` */
  usage: string;
  summary: string;
  /** @throws SunsteepError whose code tells the exit code */
  run(args: string[], io: Io): Promise<void>;
}

/** Reads a command's arguments. @throws SunsteepError SUNSTEEP_CALL_INVALID that shows the usage */
export function parsed<T extends ParseArgsConfig>(
  command: Pick<Command, 'name' | 'usage'>,
  config: T,
): ReturnType<typeof parseArgs<T & { strict: true }>> {
  try {
    return parseArgs({ ...config, strict: true });
  } catch (error) {
    throw callInvalid(command, error instanceof Error ? error.message.split('. ')[0]! : 'unclear');
  }
}

export const callInvalid = ({ name, usage }: Pick<Command, 'name' | 'usage'>, why: string) =>
  new SunsteepError('SUNSTEEP_CALL_INVALID', `${why}; usage: sunsteep ${name} ${usage}`);

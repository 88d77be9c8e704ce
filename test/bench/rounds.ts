/** What was measured under each name, one value a round. */
export class Rounds {
  private readonly values = new Map<string, number[]>();

  add(name: string, value: number): void {
    const before = this.values.get(name);
    if (before) before.push(value);
    else this.values.set(name, [value]);
  }

  of(name: string): readonly number[] {
    return this.values.get(name) ?? [];
  }

  /** Quotients of what two names brought in the same round. */
  ratio(name: string, baseline: string): number[] {
    const below = this.of(baseline);
    return this.of(name).map((value, round) => value / below[round]!);
  }
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  return (sorted[Math.floor(middle)]! + sorted[Math.ceil(middle) - 1]!) / 2;
}

/** The median, and from where to where the rounds went. */
export function spread(values: readonly number[], show: (value: number) => string): string {
  const range = `${show(Math.min(...values))} to ${show(Math.max(...values))}`;
  return `${show(median(values))} (${range})`;
}

export const whole = (value: number): string => Math.round(value).toLocaleString('en');
export const digits = (value: number): string => value.toPrecision(3);
export const times = (value: number): string => `${value.toFixed(value < 10 ? 2 : 1)} ×`;

/** One line of a table: a name, then what is told of it. */
export function line(name: string, told: string): void {
  console.info(`  ${name.padEnd(58)} ${told}`);
}

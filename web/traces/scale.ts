/** An axis that holds all values, with marks at round ones. */
export interface Scale {
  min: number;
  max: number;
  marks: number[];
}

/**
 * @param most  how many marks at the most
 */
export function niceScale(low: number, high: number, most: number): Scale {
  // A line that never moves lies in the middle of a span that it can be read in.
  const room = high - low > 0 ? 0 : Math.max(1, Math.abs(high) * 0.05);
  const [from, to] = [low - room, high + room];
  const rough = (to - from) / most;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * ([1, 2, 5, 10].find((each) => each * power >= rough * (1 - 1e-9)) ?? 10);
  const first = Math.ceil(from / step - 1e-9);
  const last = Math.floor(to / step + 1e-9);
  const marks: number[] = [];
  for (let n = first; n <= last; n++) marks.push(tidy(n * step, step));
  return { min: from, max: to, marks };
}

/** Without what is left of a division: 0.30000000000000004. */
const tidy = (value: number, step: number): number =>
  Number(value.toFixed(Math.max(0, 1 - Math.floor(Math.log10(step)))));

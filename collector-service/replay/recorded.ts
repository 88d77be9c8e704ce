import type { Reading, Trace } from '../../model/readings.ts';

/** Readings as they were recorded, held in memory by tub and point. */
export class Recorded {
  private readonly tubs = new Map<string, Map<string, Column>>();

  add({ tub, point, t, value }: Reading): void {
    let points = this.tubs.get(tub);
    if (!points) {
      points = new Map();
      this.tubs.set(tub, points);
    }
    let column = points.get(point);
    if (!column) {
      column = new Column();
      points.set(point, column);
    }
    column.add(t, value);
  }

  /** What was recorded of a tub, in the order of times; of two values at one time the greater. */
  traces(tub: string): Map<string, Trace> {
    const points = this.tubs.get(tub) ?? new Map<string, Column>();
    return new Map([...points].map(([point, column]) => [point, column.trace()]));
  }
}

/** Times and values of one point, growing. */
class Column {
  private t = new Float64Array(1024);
  private v = new Float64Array(1024);
  private length = 0;
  private inOrder = true;

  add(t: number, value: number): void {
    if (this.length === this.t.length) this.grow();
    if (this.length > 0 && t <= this.t[this.length - 1]!) this.inOrder = false;
    this.t[this.length] = t;
    this.v[this.length] = value;
    this.length++;
  }

  trace(): Trace {
    const t = this.t.subarray(0, this.length);
    const v = this.v.subarray(0, this.length);
    return this.inOrder ? { t, v } : sorted(t, v);
  }

  private grow(): void {
    const [t, v] = [this.t, this.v];
    this.t = new Float64Array(2 * t.length);
    this.v = new Float64Array(2 * v.length);
    this.t.set(t);
    this.v.set(v);
  }
}

function sorted(t: Float64Array, v: Float64Array): Trace {
  const order = Uint32Array.from(t.keys()).sort((a, b) => t[a]! - t[b]! || v[a]! - v[b]!);
  const [times, values] = [new Float64Array(t.length), new Float64Array(t.length)];
  let length = 0;
  for (const index of order) {
    if (length > 0 && times[length - 1] === t[index]) length--;
    times[length] = t[index]!;
    values[length] = v[index]!;
    length++;
  }
  return { t: times.subarray(0, length), v: values.subarray(0, length) };
}

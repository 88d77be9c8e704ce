import type { Traces } from '../../model/readings.ts';
import { loopDays } from '../rules/loop-days.ts';
import { digits, Rounds as Figures, line, spread, times, whole } from './rounds.ts';

const ROUNDS = 5;
const DAYS = 6;
const BARE = 'every reading of a day looked at once';
const RULES = 'every rule on a day';
const built = (file: string) => import(new URL(`../../dist/${file}`, import.meta.url).href);

/** All rules of one tub on days of a full kit at 10 s, against merely looking at the readings. */
export async function rules(): Promise<void> {
  const { Rounds }: typeof import('../../model/alerts/rounds.ts') =
    await built('model/alerts/rounds.js');
  const { rules: all }: typeof import('../../model/rules/rules.ts') =
    await built('model/rules/rules.js');
  const { traces, versions, from, to } = loopDays({ kit: 'C', days: DAYS, everyMs: 10_000 });
  const figures = new Figures();
  for (let round = 0; round <= ROUNDS; round++) {
    const add = (name: string, value: number) => round > 0 && figures.add(name, value);
    add(BARE, cpuMs(() => bare(traces)) / DAYS);
    const rounds = new Rounds({ rules: all, versions, from });
    add(RULES, cpuMs(() => rounds.advance(traces, to)) / DAYS);
  }
  line(
    'a day',
    `${whole([...traces.values()].reduce((n, { t }) => n + t.length, 0) / DAYS)} readings`,
  );
  line(BARE, `${spread(figures.of(BARE), digits)} ms of one core`);
  line(RULES, `${spread(figures.of(RULES), digits)} ms of one core; aim under 150 ms`);
  line('', `${spread(figures.ratio(RULES, BARE), times)} that`);
}

function cpuMs(work: () => void): number {
  const before = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
}

/** A map by minute of what was heard last, as little as anybody could do with readings. */
function bare(traces: Traces): number {
  let sum = 0;
  for (const { t, v } of traces.values()) {
    const minutes = new Map<number, number>();
    for (let i = 0; i < t.length; i++) minutes.set(Math.floor(t[i]! / 60_000), v[i]!);
    for (const value of minutes.values()) sum += value;
  }
  return sum;
}

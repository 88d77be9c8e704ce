import { steady } from '../minutes/heard-point.ts';
import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { collectorNumber } from '../points.ts';
import { MINUTE } from '../readings.ts';
import { meanOfMiddle } from './mean-of-middle.ts';
import { movesNoWater } from './no-water.ts';
import type { Finding, PastDay, Rule } from './rule.ts';

/** Of what the others give on average. */
const LIMITS = { deadBelow: 0.4, goneAbove: 0.6 };
/** The first of a row has no sensor before it on the roof: it must have fallen to this share of its own. */
const FALLEN_TO = 0.6;
const SUNNY_DAYS = 3;
const REFERENCE_DAYS = 6;
/** Sun and rise in which a collector can be judged. */
const SUNNY = { clearWPerM2: 400, totalRiseK: 1.5, eachRiseK: 0.4 };
const LEAST_MINUTES = 20;
/** In the dark, long at rest, a row is equally cold: what its sensors then differ by is their own. [min] */
const RESTED_MIN = 150;
const MOST_MINUTES = 600;

interface Rises {
  /** Rise in each collector, in the direction of flow [K]. */
  risesK: number[];
  /** How much more each sensor tells than the one before it at rest; the first one's is 0. [K] */
  offsK: number[] | null;
}

interface Gathered {
  risesK: number[][];
  restingC: number[][];
}

/** One of the row gives nothing. Needs a sensor behind each collector. */
export const oneCollectorDead: Rule<unknown, Gathered, Rises, typeof LIMITS> = {
  fault: 'one-collector-dead',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [['deadBelow', 'goneAbove']],
  needs: [['collector/1/temperature'], ['collector/2/temperature'], ['pump/running', 'pump/power']],
  uses: ['collector/inlet', 'pump/flow'],
  mutedBy: [
    'running-without-flow',
    'pump-not-running',
    'to-and-from-swapped',
    'clock-wrong',
    'pair-offset',
  ],
  daily: {
    begin: () => ({ risesK: [], restingC: [] }),
    add,
    close({ risesK, restingC }): Rises | null {
      if (risesK.length < LEAST_MINUTES) return null;
      const count = risesK.at(-1)!.length;
      const resting = middles(restingC, count);
      return {
        risesK: middles(risesK, count)!,
        offsK: resting?.map((restC, i) => (i === 0 ? 0 : restC - resting[i - 1]!)) ?? null,
      };
    },
    judge: (days, _, limits) => judged(days, limits),
  },
};

function add(gathered: Gathered, minute: Minute): void {
  const { states, tubC, inletC, clearWPerM2 } = minute;
  const isResting = states.dark && states.pumpOn === false && states.pumpMinutes > RESTED_MIN;
  const isRunning = states.pumpOn === true && !states.settling && clearWPerM2 >= SUNNY.clearWPerM2;
  if ((!isResting && !isRunning) || states.drained || tubC === null) return;
  if (isRunning && movesNoWater(minute)) return;
  const row = outletsC(minute);
  if (!row) return;
  if (isResting) {
    if (gathered.restingC.length < MOST_MINUTES) gathered.restingC.push(row);
    return;
  }
  const fromC = inletC ?? tubC;
  const leastK = Math.max(SUNNY.totalRiseK, SUNNY.eachRiseK * row.length);
  if (row.at(-1)! - fromC < leastK || gathered.risesK.length >= MOST_MINUTES) return;
  gathered.risesK.push(row.map((outC, i) => outC - (i === 0 ? fromC : row[i - 1]!)));
}

/** What the sensors behind the collectors tell, in their order; null where one of them is not heard. */
function outletsC({ heard, t }: Minute): number[] | null {
  const count = Object.keys(heard).filter((point) => collectorNumber(point) !== null).length;
  if (count < 2) return null;
  const row: number[] = [];
  for (let i = 1; i <= count; i++) {
    const sensor = heard[`collector/${i}/temperature`];
    const outC = sensor && steady(sensor);
    if (outC === undefined || outC === null || t - sensor!.times[0]! > 5 * MINUTE) return null;
    row.push(outC);
  }
  return row;
}

/** The middle of each place of some rows; null without enough of them. */
function middles(rows: readonly number[][], count: number): number[] | null {
  const same = rows.filter(({ length }) => length === count);
  if (same.length < LEAST_MINUTES) return null;
  return Array.from({ length: count }, (_, i) => meanOfMiddle(same.map((row) => row[i]!)));
}

function judged(days: readonly PastDay<Rises>[], limits: typeof LIMITS): Finding {
  const newest = days.slice(-SUNNY_DAYS);
  const count = newest.at(-1)?.fact.risesK.length ?? 0;
  const same = days.filter(({ fact }) => fact.risesK.length === count);
  if (same.length < SUNNY_DAYS || newest.some(({ fact }) => fact.risesK.length !== count)) {
    return 'blind';
  }
  const past = same.slice(0, -SUNNY_DAYS).slice(0, REFERENCE_DAYS);
  let isGone = true;
  for (let i = 0; i < count; i++) {
    const shares = newest.map(({ fact }) => shareOf(fact, i));
    const most = Math.max(...shares);
    if (Math.min(...shares) < limits.goneAbove) isGone = false;
    if (most >= limits.deadBelow) continue;
    const isCorrected = i > 0 && newest.every(({ fact }) => fact.offsK);
    if (!isCorrected && !hasFallen(past, most, i)) continue;
    const { fact } = newest.at(-1)!;
    const rises = correctedK(fact);
    return {
      since: newest[0]!.from,
      evidence: {
        collector: i + 1,
        riseK: rises[i]!,
        othersRiseK: othersOf(rises, i),
        days: SUNNY_DAYS,
      },
    };
  }
  return isGone ? 'gone' : 'between';
}

function hasFallen(past: readonly PastDay<Rises>[], share: number, i: number): boolean {
  if (past.length < SUNNY_DAYS) return false;
  const once = past.map(({ fact }) => shareOf(fact, i));
  return share < FALLEN_TO * quantile(once, 0.5);
}

const correctedK = ({ risesK, offsK }: Rises): number[] =>
  risesK.map((riseK, i) => riseK - (offsK?.[i] ?? 0));

const othersOf = (risesK: readonly number[], i: number): number =>
  (risesK.reduce((sum, riseK) => sum + riseK, 0) - risesK[i]!) / (risesK.length - 1);

/** What a collector gives, as a share of what the others give on average; 1 where these give nothing. */
function shareOf(fact: Rises, i: number): number {
  const rises = correctedK(fact);
  const others = othersOf(rises, i);
  return others > 0.3 ? rises[i]! / others : 1;
}

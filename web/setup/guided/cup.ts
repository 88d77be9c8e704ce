import { computed, effect, signal, untracked } from '@preact/signals';
import { type CupSample, cupState, offsetFor } from '../../../model/cup-check.ts';
import { fixedPoints, pointType } from '../../../model/points.ts';
import type { Value } from '../../../model/shapes.ts';
import { keep, kept as keptOnPhone } from '../../kept.ts';
import { now, tub } from '../../live.ts';
import { catchUp, phoneTime, present } from '../../present.ts';
import { send } from '../../service.ts';
import { say } from '../../speech.ts';
import { type Changes, pointer, saidAt } from '../changes.ts';
import { inForce, mayNot, put } from '../draft.ts';

/**
 * Two sensors in one cup, from the first reading of both to the correction. It is kept on the phone, which
 * may sleep while they come to rest.
 */

type Pair = readonly [first: string, second: string];

/** Temperatures that are heard, in the order in which people read them. */
export const heard = computed(() => {
  const points = Object.keys(now.value?.values ?? {});
  const place = (point: string) => fixedPoints.indexOf(point) + 1 || Number.MAX_VALUE;
  return points
    .filter((point) => pointType(point)?.kind === 'temperature')
    .sort((a, b) => place(a) - place(b));
});

const usual: Pair = ['collector/inlet', 'collector/outlet'];
const chosen = signal<Pair | null>(null);

export const pair = computed<Pair>(() => {
  if (chosen.value !== null) return chosen.value;
  const [first = '', second = ''] = usual.every((point) => heard.value.includes(point))
    ? usual
    : heard.value;
  return [first, second];
});

/** Which of the two is corrected. */
export const corrects = signal<0 | 1>(1);
export const watching = signal(false);
const samples = signal<readonly CupSample[]>([]);
export const state = computed(() => cupState(samples.value));
export const sending = signal(false);
/** The correction is in force; the log may not know of it yet. */
export const kept = signal<'wholly' | 'without-log' | null>(null);
export const unreachable = signal(false);
export const refused = signal<string | null>(null);

export function choose(which: 0 | 1, point: string): void {
  const [first, second] = pair.value;
  chosen.value = which === 0 ? [point, second] : [first, point];
  watch(false);
}

export function watch(on: boolean): void {
  samples.value = [];
  watching.value = on;
  kept.value = null;
  refused.value = null;
}

const toldBy = (point: string): Value | null => now.value?.values[point] ?? null;

/** How old a reading may be beside the other's to have been in the same water [ms]. */
const TOGETHER = 60_000;
const MOST_SAMPLES = 500;

/** Both in the cup, told anew since the last time. */
function sample(): void {
  const [first, second] = pair.peek().map(toldBy);
  if (!first?.time || !second?.time) return;
  const [a, b] = [Date.parse(first.time), Date.parse(second.time)];
  const at = Math.min(a, b);
  const last = samples.peek().at(-1);
  if (Math.abs(a - b) > TOGETHER || present.peek() - at > 2 * TOGETHER) return;
  if (last !== undefined && at <= last.at) return;
  const told = { at, firstC: first.value, secondC: second.value };
  samples.value = [...samples.peek(), told].slice(-MOST_SAMPLES);
}

/** How much more the one that is corrected reads than the other [K]. */
const excessK = computed(() => {
  if (state.value.state !== 'settled') return null;
  const { differenceK } = state.value;
  return corrects.value === 1 ? differenceK : -differenceK;
});

const numberAt = (path: string): number => {
  const [setup, of] = [inForce.value, tub.value];
  const said = setup && of ? saidAt(setup, of, path) : undefined;
  return typeof said === 'number' ? said : 0;
};

const offsetPath = computed(() => pointer('corrections', pair.value[corrects.value], 'offset'));

/** The offset that is offered, in place of the one so far [K]; null before both have come to rest. */
export const offered = computed(() =>
  excessK.value === null || inForce.value === null
    ? null
    : offsetFor(numberAt(offsetPath.value), excessK.value),
);

/** What they differ by is less than the sensors can tell. */
const ALIKE = 0.05; // K
export const isAlike = computed(() => Math.abs(excessK.value ?? 0) < ALIKE);

/** What the log is to be told of a correction that is in force. */
const toEnter = signal<{ kind: string; from: string; data: object } | null>(null);

/** Puts the correction in force, and says in the log that it was made. */
export async function use(): Promise<void> {
  const offset = offered.peek();
  const settled = state.peek();
  if (offset === null || settled.state !== 'settled' || sending.value) return;
  const at = catchUp();
  const zeroedOn = { value: say.value.dateOf(at) };
  const changes: Changes = {
    ...(!isAlike.peek() && { [offsetPath.peek()]: { value: offset } }),
    [pointer('sensors', pair.peek()[0], 'zeroedOn')]: zeroedOn,
    [pointer('sensors', pair.peek()[1], 'zeroedOn')]: zeroedOn,
  };
  toEnter.value = {
    kind: 'cup-check',
    from: new Date(at).toISOString(),
    data: { points: pair.peek(), differenceK: Number(settled.differenceK.toFixed(3)) },
  };
  sending.value = true;
  const taken = await put(changes, 'now', false);
  sending.value = false;
  if (taken) await enter();
}

export async function enter(): Promise<void> {
  const of = tub.peek();
  if (of === null || toEnter.peek() === null || sending.value) return;
  [sending.value, watching.value] = [true, false];
  const answer = await send('POST', `/api/tubs/${of}/log`, toEnter.peek());
  sending.value = false;
  kept.value = answer.ok ? 'wholly' : 'without-log';
  if (answer.ok) toEnter.value = null;
  else if (answer.status === 403) mayNot.value = true;
  refused.value = answer.ok ? null : answer.detail;
  unreachable.value = !answer.ok && answer.status === 0;
}

/** What a reload must not lose, by tub. */
interface Check {
  chosen: Pair | null;
  corrects: 0 | 1;
  watching: boolean;
  samples: readonly CupSample[];
  toEnter: typeof toEnter.value;
  /** When it was last so, by the phone's own clock [ms]. */
  at: number;
}

/** After this nobody still stands beside the cup [ms]. */
const LASTS = 2 * 3_600_000;

const fresh: Check = {
  ...{ chosen: null, corrects: 1, watching: false, samples: [], toEnter: null },
  at: Number.NEGATIVE_INFINITY,
};

function readKept(of: string): Check {
  try {
    const check = { ...fresh, ...(JSON.parse(keptOnPhone(`cup.${of}`) ?? '{}') as Partial<Check>) };
    if (phoneTime() - check.at < LASTS) return check;
    return { ...fresh, toEnter: check.toEnter };
  } catch {
    return fresh;
  }
}

function takeUp(check: Check): void {
  chosen.value = check.chosen;
  corrects.value = check.corrects;
  samples.value = check.samples;
  watching.value = check.watching;
  toEnter.value = check.toEnter;
  // A correction whose entry was on its way when the page went.
  unreachable.value = check.toEnter !== null;
  kept.value = check.toEnter === null ? null : 'without-log';
  refused.value = null;
}

/** Whose check the signals hold. */
let holds: string | null = null;

effect(() => {
  const of = tub.value;
  if (of !== null && of !== holds) {
    untracked(() => takeUp(readKept(of)));
    holds = of;
  }
  const check: Check = {
    chosen: chosen.value,
    corrects: corrects.value,
    watching: watching.value,
    samples: samples.value,
    toEnter: toEnter.value,
    at: phoneTime(),
  };
  if (of !== null) keep(`cup.${of}`, JSON.stringify(check));
});

effect(() => {
  if (watching.value && now.value !== null) sample();
});

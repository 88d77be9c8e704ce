import { computed, signal } from '@preact/signals';
import { bucketResult, type Fill } from '../../../model/bucket-test.ts';
import type { LearnedShape } from '../../../model/shapes.ts';
import { keep, kept } from '../../kept.ts';
import { tub } from '../../live.ts';
import { catchUp, phoneTime } from '../../present.ts';
import { get, send } from '../../service.ts';
import { say } from '../../speech.ts';
import { answerIn } from '../answer.ts';
import { mayNot } from '../draft.ts';
import type { Field } from '../sections.ts';
import { guidedWords } from './speech.ts';

/** A bucket test as far as it has come. It is kept on the phone, which may sleep while a bucket fills. */

interface Test {
  /** As it was typed, in the units that it was typed in. */
  volume: string;
  seconds: [string, string, string];
  /** When the watch was started, by the phone's own clock [ms]; which fill it is for. */
  running: { fill: number; since: number } | null;
}

const FILLS = 3;
const fresh: Test = { volume: '', seconds: ['', '', ''], running: null };

export const taken = signal<Test>(readKept());
export const sending = signal(false);
export const trouble = signal<string | null>(null);
export const used = signal<string | null>(null);
export const learned = signal<LearnedShape | null>(null);

function readKept(): Test {
  try {
    return { ...fresh, ...(JSON.parse(kept('bucket') ?? '{}') as Partial<Test>) };
  } catch {
    return fresh;
  }
}

function change(part: Partial<Test>): void {
  [trouble.value, used.value] = [null, null];
  taken.value = { ...taken.value, ...part };
  keep('bucket', JSON.stringify(taken.value));
}

export const typeVolume = (volume: string): void => change({ volume });
export const startOver = (): void => change(fresh);

export function typeSeconds(fill: number, seconds: string): void {
  const all = taken.value.seconds.map((each, n) => (n === fill ? seconds : each));
  change({ seconds: all as Test['seconds'] });
}

export const start = (fill: number): void => {
  typeSeconds(fill, '');
  change({ running: { fill, since: phoneTime() } });
};

export function stop(): void {
  const { running } = taken.value;
  if (running === null) return;
  const seconds = (phoneTime() - running.since) / 1000;
  change({ running: null });
  typeSeconds(running.fill, say.value.number(seconds, 1).replace(/[^\d.,]/g, ''));
}

/** Bounds are those of an entry in the log. */
const volumeField: Field = {
  ...{ path: '', kind: 'number', amount: 'volume' },
  ...{ low: 0, high: 1000, above: true },
};
const secondsField: Field = {
  ...{ path: '', kind: 'number', amount: 'plain' },
  ...{ low: 0, high: 7200, above: true },
};

function read(text: string, field: Field): number | null | 'wrong' {
  const answer = answerIn(text, field, say.value.manner);
  if ('wrong' in answer && answer.wrong) return 'wrong';
  return 'value' in answer ? (answer.value as number) : null;
}

export const litres = computed(() => read(taken.value.volume, volumeField));
export const seconds = computed(() => taken.value.seconds.map((each) => read(each, secondsField)));

const fills = computed<Fill[]>(() => {
  const bucket = litres.value;
  if (typeof bucket !== 'number') return [];
  return seconds.value
    .filter((each) => typeof each === 'number')
    .map((each) => ({ litres: bucket, seconds: each }));
});

export const toDo = computed(() => FILLS - fills.value.length);
export const result = computed(() => bucketResult(fills.value));

export async function fetchLearned(): Promise<void> {
  const of = tub.peek();
  const answer = await get<LearnedShape>(`/api/tubs/${of}/learned`);
  if (answer.ok && of === tub.peek()) learned.value = answer.body;
}

/** Enters the test in the log, from where the flow is taken. */
export async function use(): Promise<void> {
  const [of, told] = [tub.peek(), result.peek()];
  if (of === null || told === null || sending.value) return;
  [sending.value, trouble.value, used.value] = [true, null, null];
  const answer = await send('POST', `/api/tubs/${of}/log`, {
    kind: 'bucket-test',
    from: new Date(catchUp()).toISOString(),
    data: { fills: fills.peek() },
  });
  sending.value = false;
  if (answer.ok) {
    change(fresh);
    used.value = guidedWords.bucket.used(say.value.flow(told.lPerMin));
    await fetchLearned();
  } else if (answer.status === 403) mayNot.value = true;
  else {
    trouble.value =
      answer.status === 0 ? guidedWords.unreachable : guidedWords.refused(answer.detail);
  }
}

import { computed, signal } from '@preact/signals';
import { tub } from '../live.ts';
import { get } from '../service.ts';
import { say, words } from '../speech.ts';
import { fetched } from './fetched.ts';
import { place, tracesWords } from './speech.ts';
import { bucketsFile, readingsHead, readingsLines, type ToldReading } from './traces-file.ts';

/** What is drawn as a file: the readings themselves, or where there are too many for a phone, the buckets. */

/** More than this is no file for a phone; 20 pages of the service's. */
const MOST_READINGS = 200_000;

const fetching = signal(false);
const failed = signal(false);

const readings = computed(() =>
  (fetched.value?.traces ?? [])
    .flatMap(({ buckets }) => buckets)
    .reduce((sum, { count }) => sum + count, 0),
);

export function TakeAlong() {
  const { csv } = tracesWords;
  const many = readings.value > MOST_READINGS;
  const length = words.time.duration(fetched.value?.bucketMs ?? 0);
  const word = many ? csv.buckets({ length }) : csv.readings(say.value.number(readings.value, 0));
  return (
    <section>
      <button
        type="button"
        class="button"
        disabled={fetching.value || readings.value === 0}
        onClick={take}
      >
        {fetching.value ? csv.fetching : word}
      </button>
      <p class={failed.value ? 'wrong' : 'unseen'} role="alert">
        {failed.value ? csv.failed : ''}
      </p>
    </section>
  );
}

async function take(): Promise<void> {
  const drawn = fetched.peek();
  const shown = tub.peek();
  if (drawn === null || shown === null) return;
  failed.value = false;
  fetching.value = true;
  const parts =
    readings.peek() > MOST_READINGS
      ? [bucketsFile(shown, drawn.traces)]
      : await readingsFile(shown, drawn.traces.map(({ point }) => point).join(','), drawn.span);
  fetching.value = false;
  failed.value = parts === null;
  if (parts === null) return;
  const date = (t: number) => place.value.dateOf(t);
  const { from, to } = drawn.span;
  save(parts, tracesWords.csv.file({ tub: shown, from: date(from), to: date(to - 1) }));
}

type Page = { items: ToldReading[]; next: string | null };

/** Page by page; null where one could not be had. */
async function readingsFile(
  shown: string,
  points: string,
  { from, to }: { from: number; to: number },
): Promise<string[] | null> {
  const between = `from=${new Date(from).toISOString()}&to=${new Date(to).toISOString()}`;
  const parts = [readingsHead];
  let cursor = '';
  for (;;) {
    const answer = await get<Page>(
      `/api/tubs/${shown}/readings?points=${points}&${between}&buckets=0${cursor}`,
    );
    if (!answer.ok) return null;
    parts.push(readingsLines(shown, answer.body.items));
    if (answer.body.next === null) return parts;
    cursor = `&cursor=${answer.body.next}`;
  }
}

function save(parts: string[], name: string): void {
  const address = URL.createObjectURL(new Blob(parts, { type: 'text/csv;charset=utf-8' }));
  const link = document.createElement('a');
  link.href = address;
  link.download = `${name}.csv`;
  link.click();
  URL.revokeObjectURL(address);
}

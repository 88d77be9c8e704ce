import { computed, signal } from '@preact/signals';
import { type Coordinates, placeDoubt } from '../../model/place-doubt.ts';
import { keep, kept } from '../kept.ts';
import { say } from '../speech.ts';
import { shownNumber } from './answer.ts';
import { comesTo, isTyped, type } from './draft.ts';
import { sections } from './sections.ts';
import { setupWords } from './speech.ts';

/** A place that its time zone speaks against: nothing is refused, but nobody saves it unseen. */

const field = (path: string) => sections.place.find((each) => each.path === path)!;
const [latitude, longitude] = [field('/place/latitude'), field('/place/longitude')];
const timeZone = field('/place/timeZone');

const doubted = computed(() => {
  const place = {
    latitude: comesTo(latitude),
    longitude: comesTo(longitude),
    timeZone: comesTo(timeZone),
  };
  if (!isWhole(place)) return null;
  const doubt = placeDoubt(place);
  return doubt && { place, ...doubt, key: Object.values(place).join(' ') };
});

const isWhole = (place: Record<keyof Coordinates | 'timeZone', unknown>): place is Place =>
  typeof place.latitude === 'number' &&
  typeof place.longitude === 'number' &&
  typeof place.timeZone === 'string';

type Place = Coordinates & { timeZone: string };

/** What was pressed to be saved, and what somebody said is right as it is. */
const asked = signal<string | null>(null);
const right = signal(kept('place-right'));

const BLOCK = 'doubted-place';

/** Whether somebody has to say a word before the place is saved; then they are asked for it. */
export function thinkOver(): boolean {
  const found = doubted.peek();
  asked.value = found?.key ?? null;
  if (found === null || found.key === right.peek()) return false;
  requestAnimationFrame(() => document.getElementById(BLOCK)?.focus());
  return true;
}

/** What was pressed is gone; what is left to do is to save. */
function onward(): void {
  document.querySelector<HTMLElement>('form button[type="submit"]')?.focus();
}

export function DoubtedPlace() {
  const found = doubted.value;
  if (found === null || found.key === right.value) return null;
  const isNew = [latitude, longitude, timeZone].some(isTyped);
  // As long as somebody types, half a number is far from everywhere.
  if (isNew && asked.value !== found.key) return null;
  const { place, meant, key } = found;
  const told = meant && coordinates(meant);
  const { doubted: words, take, isRight } = setupWords.place;
  const zone = place.timeZone.replaceAll('_', ' ');
  return (
    <section class="block" id={BLOCK} tabIndex={-1}>
      <p>{words({ place: coordinates(place), zone, meant: told })}</p>
      <div class="pair">
        {meant !== null && (
          <button
            type="button"
            class="button main"
            onClick={() => {
              type(latitude, figure(meant.latitude));
              type(longitude, figure(meant.longitude));
              onward();
            }}
          >
            {take(told!)}
          </button>
        )}
        <button
          type="button"
          class="button"
          onClick={() => {
            right.value = key;
            keep('place-right', key);
            onward();
          }}
        >
          {isRight}
        </button>
      </div>
    </section>
  );
}

const figure = (degrees: number): string => shownNumber(degrees, 'degrees', say.value.manner);

const coordinates = (of: Coordinates): string =>
  setupWords.place.coordinates(figure(of.latitude), figure(of.longitude));

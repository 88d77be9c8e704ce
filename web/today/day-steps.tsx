import { address, go } from '../address.ts';
import { words } from '../speech.ts';
import { dateAfter } from './date-after.ts';
import { isToday, shownDate, today } from './shown-day.ts';

/** One day back, one day on: by two buttons, or by a swipe. */

const dayAddress = (date: string) => address(date === today.value ? '/' : `/day/${date}`);

export function DaySteps() {
  const earlier = dateAfter(shownDate.value, -1);
  const later = dateAfter(shownDate.value, 1);
  return (
    <ul class="steps" aria-label={words.days.steps}>
      <li>
        <a class="button" href={dayAddress(earlier)}>
          {isToday.value ? words.days.yesterday : words.days.before}
        </a>
      </li>
      {shownDate.value < today.value && (
        <li>
          <a class="button" href={dayAddress(later)}>
            {later === today.value ? words.frame.today : words.days.after}
          </a>
        </li>
      )}
    </ul>
  );
}

/** A stroke this long, and twice as long as it is high, is meant sideways [px]. */
const STROKE = 60;

let start: { x: number; y: number } | null = null;

/** Handlers for whatever may be swiped from day to day; two fingers zoom, and are left alone. */
export const swipes = {
  onTouchStart({ touches }: TouchEvent) {
    const [touch] = touches;
    start = touches.length === 1 && touch ? { x: touch.clientX, y: touch.clientY } : null;
  },
  onTouchEnd({ changedTouches }: TouchEvent) {
    const [touch] = changedTouches;
    if (start === null || !touch) return;
    const right = touch.clientX - start.x;
    const down = touch.clientY - start.y;
    start = null;
    if (Math.abs(right) < STROKE || Math.abs(right) < 2 * Math.abs(down)) return;
    if (right > 0) go(dayAddress(dateAfter(shownDate.value, -1)));
    else if (shownDate.value < today.value) go(dayAddress(dateAfter(shownDate.value, 1)));
  },
};

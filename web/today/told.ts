import { computed } from '@preact/signals';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { stateOf } from '../../model/state.ts';
import { sentenceOf } from '../../model/words/sentence.ts';
import type { Told } from '../../model/words/words.ts';
import { inOwnWords } from '../alerts/own-words.ts';
import { lostAt, now, situation } from '../live.ts';
import { present } from '../present.ts';
import { say, words } from '../speech.ts';
import { dateAfter } from './date-after.ts';
import { shownDate, shownDay, today } from './shown-day.ts';

/** After this long out of touch, what was so then can no longer be said as what is so. */
const LOST_FOR_GOOD = 2 * MINUTE;

/** What is so, its alerts in this phone's units. */
const told = computed(() => {
  const s = situation.value;
  return s === null ? null : { ...s, alerts: s.alerts.map(inOwnWords) };
});

export const conclusion = computed(() => (told.value === null ? null : stateOf(told.value)));

export const lostForGood = computed(
  () => lostAt.value !== null && present.value - lostAt.value > LOST_FOR_GOOD,
);

/** What is so just now, in this phone's words and units. */
export const toldNow = computed<Told | null>(() => {
  const s = told.value;
  const state = conclusion.value?.state;
  if (s === null || state === undefined) return null;
  if (state !== 'danger' && lostForGood.value) {
    return words.states.notLive({ since: say.value.moment(lostAt.value!, present.value) });
  }
  return sentenceOf(state, s, words, say.value);
});

/** What was so on a day that is over; null while that is being fetched. */
export const toldThen = computed<Told | null>(() => {
  const date = shownDate.value;
  const spoken = say.value.date(date, today.value.slice(0, 4));
  if (date > today.value) return words.days.notYet(spoken);
  const day = shownDay.value;
  // Without a time zone there are no days, so none is on its way.
  if (day === undefined)
    return now.value?.figures.timeZone ? null : words.days.nothingHeard(spoken);
  if (day === null || day.quarters.every(({ tubC, coverage }) => tubC === null && coverage === 0)) {
    return words.days.nothingHeard(spoken);
  }
  const yesterday = date === dateAfter(today.value, -1);
  return {
    sentence: words.days.past(
      {
        date: spoken,
        yesterday,
        gain: { kwh: day.gainKwh, basis: day.basis },
      },
      say.value,
    ),
    detail: words.days.pastDetail(
      {
        date: yesterday ? spoken : null,
        pumpMs: day.pumpHours === null ? null : Math.round(day.pumpHours * HOUR),
        litres: day.litres,
      },
      say.value,
    ),
  };
});

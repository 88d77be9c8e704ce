import { FirstPlace, NothingHeard } from '../first/first-screens.ts';
import { Headline } from '../headline.tsx';
import { now } from '../live.ts';
import type { Screen } from '../screen.ts';
import { words } from '../speech.ts';
import { AlertBlock, DangerBlock } from './alert-block.tsx';
import { DayFigure } from './day-figure.tsx';
import { DaySteps, swipes } from './day-steps.tsx';
import { Facts } from './facts.tsx';
import { dayPath, isToday, shownDate, today } from './shown-day.ts';
import { conclusion, toldNow, toldThen } from './told.ts';

/** One day of a tub: today with what is so just now, any other day in the past tense. */
function Today() {
  if (isToday.value) return <Present />;
  const told = toldThen.value ?? { sentence: words.frame.loading };
  return (
    <div class="today" {...swipes}>
      <Headline told={told} />
      {shownDate.value < today.value && <DayFigure />}
      <Facts />
      <DaySteps />
    </div>
  );
}

function Present() {
  const told = toldNow.value;
  const concluded = conclusion.value;
  if (told === null || concluded === null) return null;
  const { state, danger, onTop } = concluded;
  if (state === 'no-reading') return <NothingHeard />;
  const missing = now.value?.figures.missing ?? [];
  return (
    <div class={onTop.length + missing.length > 0 ? 'today lesser' : 'today'} {...swipes}>
      {state === 'danger' && <DangerBlock told={told} alert={danger} />}
      {onTop.length > 0 && (
        <div>
          {onTop.map((alert) => (
            <AlertBlock key={alert.id} alert={alert} />
          ))}
        </div>
      )}
      {state !== 'danger' && (
        // What is missing is listed below, each thing with where to say it.
        <Headline told={state === 'no-setup' ? { sentence: told.sentence } : told} />
      )}
      {missing.length > 0 ? (
        <FirstPlace missing={missing} />
      ) : (
        <>
          <DayFigure />
          <Facts />
          <DaySteps />
        </>
      )}
    </div>
  );
}

export const todayScreen: Screen = {
  path: dayPath,
  tab: { word: (words) => words.frame.today, href: '/' },
  needs: 'tub',
  View: Today,
};

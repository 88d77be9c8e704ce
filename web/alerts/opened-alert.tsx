import type { Alert } from '../../model/shapes.ts';
import { address } from '../address.ts';
import { daysAround, viewOf } from '../handover/days.ts';
import { Headline } from '../headline.tsx';
import { present } from '../present.ts';
import { say, unbroken, words } from '../speech.ts';
import { Caution, costAndDoubt } from '../today/alert-block.tsx';
import { Answers } from './answers.tsx';
import { Checks } from './checks.tsx';
import { handledLines } from './handled.ts';
import { alertOf, endedFailed } from './known.ts';
import { LastKnown } from './last-known.tsx';
import { alertWords, moment } from './speech.ts';
import { StartFigure } from './start-figure.tsx';

/** One alert: what is so, what shows it, what to look out for, what to check, and what one says to it. */
export function OpenedAlert({ id }: { id: string }) {
  const alert = alertOf(id);
  if (!alert) return <Missing known={alert === null} />;
  // Nothing stands between a danger and what is to be done first.
  const urgent = alert.severity === 'danger' && alert.until === null;
  return (
    <div class="alerts">
      <Block alert={alert} />
      <LastKnown />
      <p>{unbroken(alert.shows)}</p>
      <Caution alert={alert} />
      {!urgent && <StartFigure alert={alert} />}
      {alert.checks.length > 0 && <Checks alert={alert} />}
      {alert.until === null && <Answers alert={alert} />}
      {urgent && <StartFigure alert={alert} />}
      <HandOver alert={alert} />
      <ToAll />
    </div>
  );
}

function Missing({ known }: { known: boolean }) {
  const { loading, partMissing } = words.frame;
  if (!known && !endedFailed.value) return <Headline told={{ sentence: loading }} />;
  return (
    <div class="alerts">
      <Headline told={known ? alertWords.notThere : partMissing} />
      <ToAll />
    </div>
  );
}

function Block({ alert }: { alert: Alert }) {
  const stands = alert.until === null;
  const word = stands ? words.alerts.severity[alert.severity] : alertWords.ended;
  return (
    <section class={stands && alert.severity === 'danger' ? 'block danger' : 'block'}>
      <p class="word">{word}</p>
      <Headline told={{ sentence: alert.says }} />
      <p aria-live="polite">{unbroken(linesOf(alert).join(' '))}</p>
    </section>
  );
}

function linesOf(alert: Alert): string[] {
  const since = moment(alert.since);
  const end = alert.until === null ? present.value : Date.parse(alert.until);
  const duration = words.time.duration(end - Date.parse(alert.since));
  if (alert.until === null) {
    const stands = alertWords.standsFor({ since, duration });
    return [stands, ...costAndDoubt(alert), ...handledLines(alert)];
  }
  // The end bears its date where that is another than the beginning's.
  const until = say.value.moment(end, Date.parse(alert.since));
  const stood = alertWords.stood({ from: since, until, duration });
  return [stood, ...costAndDoubt(alert)];
}

/** The days around it in one file, for somebody who helps. */
function HandOver({ alert: { since, until } }: { alert: Alert }) {
  const date = (instant: string | number) =>
    say.value.dateOf(typeof instant === 'string' ? Date.parse(instant) : instant);
  const around = daysAround(date(since), until && date(until), date(present.value));
  return (
    <a class="more" href={address(`/handover${viewOf(around)}`)}>
      {alertWords.handOver}
    </a>
  );
}

function ToAll() {
  return (
    <a class="more" href={address('/alerts')}>
      {alertWords.all}
    </a>
  );
}

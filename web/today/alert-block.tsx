import type { Alert } from '../../model/shapes.ts';
import type { Told } from '../../model/words/words.ts';
import { alertAddress } from '../alerts/alerts-screen.ts';
import { Headline } from '../headline.tsx';
import { present } from '../present.ts';
import { say, unbroken, words } from '../speech.ts';

const moment = (instant: string) => say.value.moment(Date.parse(instant), present.value);

/** A standing alert: its word, one sentence that leads to the rest, since when, what it cost so far. */
export function AlertBlock({ alert, more = [] }: { alert: Alert; more?: string[] }) {
  const lines = [words.alerts.since(moment(alert.since)), ...costAndDoubt(alert), ...more];
  return (
    <section class={alert.severity === 'danger' ? 'block danger' : 'block'}>
      <p class="word">{words.alerts.severity[alert.severity]}</p>
      <h2>
        <a href={alertAddress(alert.id)}>{unbroken(alert.says)}</a>
      </h2>
      <p>{unbroken(lines.join(' '))}</p>
      <Caution alert={alert} />
    </section>
  );
}

/** The danger that the page's own sentence is about. */
export function DangerBlock({ told, alert }: { told: Told; alert: Alert | null }) {
  return (
    <section class="block danger">
      <p class="word">{words.alerts.severity.danger}</p>
      <Headline told={told} />
      {alert === null ? (
        <p class="caution">{words.facts.tooHot}</p>
      ) : (
        <>
          <Caution alert={alert} />
          <a class="more" href={alertAddress(alert.id)}>
            {words.alerts.whatToCheck}
          </a>
        </>
      )}
    </section>
  );
}

/** What it cost so far, and since when its rule cannot see. */
export function costAndDoubt({ costKwh, unknownSince }: Alert): string[] {
  const lines: string[] = [];
  if (costKwh !== null && costKwh >= 0.05) lines.push(words.alerts.cost(costKwh, say.value));
  if (unknownSince !== null) lines.push(words.alerts.unknownSince(moment(unknownSince)));
  return lines;
}

export function Caution({ alert }: { alert: Alert }) {
  if (alert.caution === undefined) return null;
  return (
    <p class="caution">
      <strong>{words.alerts.caution}.</strong> {unbroken(alert.caution)}
    </p>
  );
}

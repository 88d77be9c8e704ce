import type { Alert } from '../../model/shapes.ts';
import type { Told } from '../../model/words/words.ts';
import { Headline } from '../headline.tsx';
import { present } from '../present.ts';
import { say, unbroken, words } from '../speech.ts';

const moment = (instant: string) => say.value.moment(Date.parse(instant), present.value);

/** A standing alert: its word, one sentence, since when, what it cost so far. */
export function AlertBlock({ alert }: { alert: Alert }) {
  const { since, cost, unknownSince, severity } = words.alerts;
  const lines = [
    since(moment(alert.since)),
    alert.costKwh !== null && alert.costKwh >= 0.05 && cost(alert.costKwh, say.value),
    alert.unknownSince !== null && unknownSince(moment(alert.unknownSince)),
  ].filter((line) => line !== false);
  return (
    <section class={alert.severity === 'danger' ? 'block danger' : 'block'}>
      <p class="word">{severity[alert.severity]}</p>
      <h2>{unbroken(alert.says)}</h2>
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
      {alert === null ? <p class="caution">{words.facts.tooHot}</p> : <Caution alert={alert} />}
    </section>
  );
}

function Caution({ alert }: { alert: Alert }) {
  if (alert.caution === undefined) return null;
  return (
    <p class="caution">
      <strong>{words.alerts.caution}.</strong> {unbroken(alert.caution)}
    </p>
  );
}

import type { Alert } from '../../model/shapes.ts';
import { present } from '../present.ts';
import { say, unbroken, words } from '../speech.ts';
import { costAndDoubt } from '../today/alert-block.tsx';
import { alertAddress } from './alerts-screen.ts';
import { ended, endedFailed } from './known.ts';
import { alertWords } from './speech.ts';

/** What is over, by the month in which it ended. */
export function EndedAlerts() {
  if (endedFailed.value) return <p>{alertWords.endedFailed}</p>;
  const months = byMonth(ended.value ?? []);
  if (months.length === 0) return null;
  return (
    <section class="ended">
      <h2>{alertWords.ended}</h2>
      {months.map(([month, alerts]) => (
        <section key={month}>
          <h3>{say.value.month(month)}</h3>
          <ul class="rows">
            {alerts.map((alert) => (
              <Ended key={alert.id} alert={alert} />
            ))}
          </ul>
        </section>
      ))}
    </section>
  );
}

function byMonth(alerts: Alert[]): [month: string, Alert[]][] {
  const months = new Map<string, Alert[]>();
  for (const alert of alerts) {
    const month = say.value.dateOf(Date.parse(alert.until!)).slice(0, 7);
    months.set(month, [...(months.get(month) ?? []), alert]);
  }
  return [...months];
}

function Ended({ alert }: { alert: Alert }) {
  const [since, until] = [Date.parse(alert.since), Date.parse(alert.until!)];
  const thisYear = say.value.dateOf(present.value).slice(0, 4);
  const stood = alertWords.stoodFor(words.time.duration(until - since));
  const when = `${say.value.date(say.value.dateOf(since), thisYear)}, ${stood}.`;
  return (
    <li>
      <a href={alertAddress(alert.id)}>{unbroken(alert.says)}</a>
      <p class="muted">{unbroken([when, ...costAndDoubt(alert)].join(' '))}</p>
    </li>
  );
}

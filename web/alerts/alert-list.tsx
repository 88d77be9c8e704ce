import type { Severity } from '../../model/shapes.ts';
import { Headline } from '../headline.tsx';
import { now } from '../live.ts';
import { AlertBlock, DangerBlock } from '../today/alert-block.tsx';
import { conclusion, lostForGood, toldNow } from '../today/told.ts';
import { EndedAlerts } from './ended-alerts.tsx';
import { handledLines } from './handled.ts';
import { standing } from './known.ts';
import { LastKnown } from './last-known.tsx';
import { alertWords } from './speech.ts';

/** What stands, the gravest first, and below it what is over. */
export function AlertList() {
  return (
    <div class="alerts">
      <Summary />
      <LastKnown />
      {standing.value.length > 0 && (
        <div>
          {standing.value.map((alert) => (
            <AlertBlock key={alert.id} alert={alert} more={handledLines(alert)} />
          ))}
        </div>
      )}
      <EndedAlerts />
    </div>
  );
}

function Summary() {
  const told = toldNow.value;
  const concluded = conclusion.value;
  if (told === null || concluded === null) return null;
  const { state, danger } = concluded;
  // Water can be too hot before any alert has had the time to be raised.
  if (state === 'danger' && danger === null) return <DangerBlock told={told} alert={null} />;
  if (standing.value.length > 0) return <Headline told={alertWords.standing(counts())} />;
  // Who hears nothing cannot say that nothing is wrong.
  if (state === 'silent' || lostForGood.value) return <Headline told={told} />;
  return <Headline told={alertWords.nothing(heard())} />;
}

function counts(): Record<Severity, number> {
  const counts = { danger: 0, act: 0, look: 0, note: 0 };
  for (const { severity } of standing.value) counts[severity]++;
  return counts;
}

function heard(): Parameters<typeof alertWords.nothing>[0] {
  const values = now.value?.values ?? {};
  return {
    level: 'tub/level' in values,
    flow: 'pump/flow' in values || 'pump/volume' in values,
    power: 'pump/power' in values,
  };
}

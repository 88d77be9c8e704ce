import { QUARTER } from '../../model/readings.ts';
import type { Evening } from '../../model/shapes.ts';
import { bathingLimitC } from '../../model/state.ts';
import { now } from '../live.ts';
import { present } from '../present.ts';
import { say, words } from '../speech.ts';
import { outlook } from './evening.ts';
import { Fact, Line } from './fact.tsx';
import type { Outlook } from './outlook.ts';

/** How warm the tub will be at the owner's hour, and what the backup would have to do for more. */
export function Tonight() {
  if ((now.value?.figures.drainedSince ?? null) !== null) return null;
  const look = outlook.value;
  const { evening } = words;
  if (look.kind === 'foreseen') return <Foreseen look={look} />;
  if (look.kind === 'waiting') {
    return <Fact kind="tonight" label={evening.thisEvening} value={words.frame.loading} />;
  }
  const why = look.since === null ? evening.failed : evening.tooOld(moment(look.since));
  return (
    <Fact kind="tonight" label={evening.thisEvening} value={evening.unknown}>
      <Line text={look.says ?? why} />
    </Fact>
  );
}

const moment = (instant: number) => say.value.moment(instant, present.value);

type Foreseen = Extract<Outlook, { kind: 'foreseen' }>;

function Foreseen({ look }: { look: Foreseen }) {
  const { evening } = words;
  const { at, lowC, highC, ageMs } = look;
  const tomorrow = say.value.dateOf(at) !== say.value.dateOf(present.value);
  const sunUp = (now.value?.figures.sunDeg ?? -1) > 0;
  const doubt = [
    sunUp && !tomorrow ? evening.ifSkyStays : evening.asUsual,
    ageMs !== null && evening.foretold(ageMs),
  ].filter((part) => part !== false);
  return (
    <Fact
      kind="tonight"
      label={evening.label(say.value.time(at), tomorrow)}
      value={evening.range(lowC, highC, say.value)}
      doubt={doubt.join(', ')}
    >
      {highC > bathingLimitC && <p class="caution">{evening.mayBeTooHot(say.value)}</p>}
      {backupLines(look).map((line) => (
        <Line key={line} text={line} />
      ))}
    </Fact>
  );
}

type Start = NonNullable<Evening['backup']>['latest'];

/** Less than can be said is nothing to start the backup for [kWh]. */
const LEAST_KWH = 0.05;

function backupLines({ at, lowC, highC, backup }: Foreseen): string[] {
  const { evening } = words;
  const targetC = now.value?.figures.targetC ?? null;
  if (targetC === null) return [];
  if (backup === null) {
    const isEnough = (lowC + highC) / 2 >= targetC;
    return [isEnough ? evening.warmEnough : evening.stays(targetC, say.value)];
  }
  const { latest, cheapest } = backup;
  // Told while that could still be done; the next look will say what can.
  if (Date.parse(latest.start) + QUARTER <= present.value) return [];
  if (latest.kwh < LEAST_KWH) return [evening.warmEnough];
  const money = moneyOf(latest);
  const least = moneyOf(cheapest);
  const lines = [
    evening.backup({ start: startOf(latest, at), targetC, kwh: latest.kwh, money }, say.value),
  ];
  if (least !== null && least !== money) {
    lines.push(evening.cheaper({ start: startOf(cheapest, at), money: least }));
  }
  return lines;
}

/** null: its time has come. */
function startOf({ start }: Start, evening: number): string | null {
  const instant = Date.parse(start);
  if (instant <= present.value) return null;
  const clock = say.value.time(instant);
  const sameDay = say.value.dateOf(instant) === say.value.dateOf(evening);
  return sameDay ? clock : words.evening.dayBefore(clock);
}

function moneyOf({ money }: Start): string | null {
  const currency = now.value?.day?.currency ?? null;
  return money === null || currency === null ? null : say.value.money(money, currency);
}

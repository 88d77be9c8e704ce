import { QUARTER } from '../../model/readings.ts';
import { eveningTold } from '../../model/words/evening-told.ts';
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

function Foreseen({ look: { evening, ageMs } }: { look: Foreseen }) {
  const told = eveningTold(evening, present.value, words.evening, say.value);
  const aged = ageMs === null ? told.doubt : `${told.doubt}, ${words.evening.foretold(ageMs)}`;
  const { backup } = evening;
  // Told while that could still be done; the next look will say what can.
  const isPast = backup !== null && Date.parse(backup.latest.start) + QUARTER <= present.value;
  return (
    <Fact kind="tonight" label={told.label} caution={told.caution} value={told.range} doubt={aged}>
      {!isPast && told.backup.map((line) => <Line key={line} text={line} />)}
    </Fact>
  );
}

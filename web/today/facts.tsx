import type { Day, Now } from '../../model/shapes.ts';
import { bathingLimitC, freshness } from '../../model/state.ts';
import { now } from '../live.ts';
import { present } from '../present.ts';
import { say, words } from '../speech.ts';
import { Fact, Line } from './fact.tsx';
import { isToday, shownDay, shownSums } from './shown-day.ts';
import { storyOf } from './story.ts';
import { Tonight } from './tonight.tsx';

/** What the day comes to, each figure with its own doubt. What is not worked out is not there. */
export function Facts() {
  const day = shownSums.value;
  if (!isToday.value && day === null) return null;
  return (
    <dl class="facts">
      <FromTheSun day={day} />
      {isToday.value ? <WaterNow /> : <WaterThen day={day!} />}
      {isToday.value && <Tonight />}
    </dl>
  );
}

/** Below this the sensors were away for longer than a few readings. */
const WELL_COVERED = 0.97;
/** Less rounds to nothing, in the first minutes of a day. */
const WORTH_SAYING = 0.005;

function FromTheSun({ day }: { day: Day | null }) {
  const { facts } = words;
  const label = isToday.value ? facts.sunToday : facts.sunThatDay;
  if (day === null || day.gainKwh === null || day.basis === null) {
    return (
      <Fact label={label} value={facts.sunNotKnown}>
        <Line text={facts.sunUnknown} />
      </Fact>
    );
  }
  const over = !isToday.value;
  const quarters = shownDay.value;
  const coverage = quarters ? storyOf(quarters, present.value).coverage : null;
  const lines = [
    day.savedMoney !== null &&
      day.currency !== null &&
      facts.money(day.savedMoney, day.currency, over, say.value),
    (day.lostKwh ?? 0) >= 0.05 && facts.lost(day.lostKwh!, say.value),
    coverage !== null &&
      coverage >= WORTH_SAYING &&
      coverage < WELL_COVERED &&
      facts.coverage(coverage, over, say.value),
    day.basis !== 'measured' && facts.howToMeasure(heardOf(now.value)),
    now.value?.figures.workingOut && words.frame.workingOut,
  ];
  return (
    <Fact label={label} value={say.value.energy(day.gainKwh)} doubt={doubtOf(day)}>
      {lines.map((line) => line && <Line key={line} text={line} />)}
      {day.notCounted.map((span) => (
        <Line key={span.from} text={notCounted(span)} />
      ))}
    </Fact>
  );
}

/** `between 5.8 and 6.6, measured`: two standard uncertainties to either side. */
function doubtOf({ gainKwh, uncertaintyKwh, basis }: Day): string {
  const told = basis === null ? '' : words.facts.basis[basis];
  if (gainKwh === null || uncertaintyKwh === null || gainKwh === 0) return told;
  const low = Math.max(0, gainKwh - 2 * uncertaintyKwh);
  const range = say.value.energyRange(gainKwh, low, gainKwh + 2 * uncertaintyKwh);
  return `${words.facts.between(range)}, ${told}`;
}

function notCounted({ from, to, why }: Day['notCounted'][number]): string {
  const time = (instant: string) => say.value.time(Date.parse(instant));
  return words.facts.notCounted({ from: time(from), to: time(to), why });
}

function WaterNow() {
  const { facts } = words;
  const value = now.value?.values['tub/temperature'];
  const tubC = now.value?.figures.tubC ?? null;
  const at = present.value;
  const state = freshness(value, at);
  if (tubC === null || state === 'gone' || !value || value.time === null) {
    return (
      <Fact label={facts.waterNow} value={facts.unknown}>
        <Line text={whyUnknown()} />
      </Fact>
    );
  }
  const ageMs = at - Date.parse(value.time);
  const limit = tubC > bathingLimitC ? facts.aboveLimit(say.value) : facts.belowLimit(say.value);
  const age = state === 'late' ? facts.late(ageMs) : facts.measured(ageMs);
  return (
    <Fact label={facts.waterNow} value={say.value.temperature(tubC)} doubt={`${limit}, ${age}`}>
      {tubC > bathingLimitC && <p class="caution">{facts.tooHot}</p>}
    </Fact>
  );
}

function whyUnknown(): string {
  const value = now.value?.values['tub/temperature'];
  if (value === undefined) return words.facts.noTubSensor;
  if (value.time === null) return words.facts.unknownTime(value.value, say.value);
  return words.facts.unknownSince(say.value.moment(Date.parse(value.time), present.value));
}

function WaterThen({ day }: { day: Day }) {
  const { facts } = words;
  if (day.tubLowC === null || day.tubHighC === null) {
    return <Fact label={facts.waterThatDay} value={facts.waterNotHeard} />;
  }
  return (
    <Fact
      label={facts.waterThatDay}
      value={facts.fromTo(day.tubLowC, day.tubHighC, say.value)}
      doubt={facts.lowestHighest}
    />
  );
}

/** What of that which measures heat is heard. */
function heardOf(now: Now | null | undefined): { flow: boolean; pair: boolean } {
  const values = now?.values ?? {};
  return {
    flow: 'pump/flow' in values || 'pump/volume' in values,
    pair: 'collector/inlet' in values && 'collector/outlet' in values,
  };
}

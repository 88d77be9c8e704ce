import type { TubSetup } from '../../../model/setup.ts';
import { address } from '../../address.ts';
import { now, tub } from '../../live.ts';
import { present } from '../../present.ts';
import { say, unbroken, words } from '../../speech.ts';
import { changesMost, setup } from './known.ts';
import { sensorsWords } from './speech.ts';

/** Every point that is heard, live: its value, its age, and what the set-up makes of it. */
export function HeardPoints() {
  const values = Object.entries(now.value?.values ?? {});
  if (values.length === 0) return null;
  return (
    <section>
      <h2>{sensorsWords.heard}</h2>
      <ul class="rows heard">
        {values.map(([point, { value, time }]) => (
          <li key={point}>
            <div>
              {words.points.name(point)}
              <Notes point={point} />
            </div>
            <div class="end">
              <strong>{unbroken(words.points.value(point, value, say.value))}</strong>
              <span class="muted">{unbroken(ageOf(time))}</span>
            </div>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** A value that a broker kept has no time of its own. */
const ageOf = (time: string | null): string =>
  time === null ? sensorsWords.earlier : words.time.ago(present.value - Date.parse(time));

function Notes({ point }: { point: string }) {
  const ours = setup.value?.tubs.find(({ id }) => id === tub.value);
  const most = changesMost.value;
  const changing =
    most?.point === point ? sensorsWords.changesMost(signedDegrees(most.deltaK)) : null;
  const lines = [changing, correction(ours, point)].filter((line) => line !== null);
  return (
    <>
      {lines.map((line) => (
        <p key={line} class="muted">
          {unbroken(line)}
        </p>
      ))}
      {point === 'pump/running' && ours && (
        <p class="muted">
          {sensorsWords.pumpMeans[ours.pump?.stateIs ?? 'powered']}
          {' · '}
          <a href={address('/setup/controller')}>{sensorsWords.change}</a>
        </p>
      )}
    </>
  );
}

function correction(ours: TubSetup | undefined, point: string): string | null {
  const offset = ours?.corrections?.[point]?.offset ?? 0;
  if (offset === 0) return null;
  const on = ours?.sensors?.[point]?.zeroedOn ?? null;
  const told = { by: signedDegrees(offset), on: on === null ? null : say.value.date(on) };
  return sensorsWords.corrected(told, say.value);
}

function signedDegrees(deltaK: number): string {
  const degrees = say.value.number(Math.abs(say.value.difference(deltaK)), 1);
  return `${deltaK < 0 ? '−' : '+'}${degrees} °${say.value.manner.temperature}`;
}

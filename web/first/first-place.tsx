import { fixedPoints } from '../../model/points.ts';
import { address } from '../address.ts';
import { now } from '../live.ts';
import { present } from '../present.ts';
import { say, unbroken, words } from '../speech.ts';
import { PlaceForm } from './place-form.tsx';

/** A tub that is heard before anybody said where it stands: what is heard, what is missing, and the form. */
export function FirstPlace({ missing }: { missing: string[] }) {
  const placeMissing = missing.some((path) => path.startsWith('place'));
  return (
    <div class="first">
      <section>
        <h2>{words.place.missingTitle}</h2>
        <ul class="rows missing">
          {missing.map((path) => (
            <li key={path}>
              <a href={whereToSay(path)}>{words.points.missing(path)}</a>
            </li>
          ))}
        </ul>
      </section>
      {placeMissing && <PlaceForm />}
      <Heard />
    </div>
  );
}

/** A part of the place is a question below; a point is told by one of the sensors. */
const whereToSay = (path: string): string =>
  path.startsWith('place')
    ? `#place-${path.split('/')[1] ?? 'latitude'}`
    : address('/setup/sensors');

const order = (point: string) => {
  const place = fixedPoints.indexOf(point);
  return place < 0 ? fixedPoints.length : place;
};

function Heard() {
  const values = Object.entries(now.value?.values ?? {});
  values.sort(([a], [b]) => order(a) - order(b) || a.localeCompare(b));
  return (
    <section>
      <h2>{words.place.heardTitle}</h2>
      <ul class="rows heard">
        {values.map(([point, { value, time }]) => (
          <li key={point}>
            <span>{words.points.name(point)}</span>
            <span>
              <strong>{unbroken(words.points.value(point, value, say.value))}</strong>
              <span class="muted">
                {unbroken(
                  time === null
                    ? words.place.unknownTime
                    : words.time.ago(present.value - Date.parse(time)),
                )}
              </span>
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}

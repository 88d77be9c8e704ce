import { signal } from '@preact/signals';
import { say, words } from '../speech.ts';
import { shownNumber } from './answer.ts';
import { type } from './draft.ts';
import { type Field, sections } from './sections.ts';
import { setupWords } from './speech.ts';

/** Latitude and longitude by the phone, which gives them only to pages that came over HTTPS. */

const locating = signal(false);
const refused = signal(false);

/** A street apart is near enough for the sun, and tells less about the owner. */
const DECIMALS = 3;

function typeDegrees(path: string, degrees: number): void {
  const field: Field = sections.place.find((each) => each.path === path)!;
  type(field, shownNumber(Number(degrees.toFixed(DECIMALS)), 'degrees', say.value.manner));
}

function locate(): void {
  [locating.value, refused.value] = [true, false];
  navigator.geolocation.getCurrentPosition(
    ({ coords }) => {
      typeDegrees('/place/latitude', coords.latitude);
      typeDegrees('/place/longitude', coords.longitude);
      locating.value = false;
    },
    () => {
      [locating.value, refused.value] = [false, true];
    },
    { timeout: 20_000, maximumAge: 600_000 },
  );
}

export function Locate() {
  if (!isSecureContext || !('geolocation' in navigator)) {
    return <p>{setupWords.place.needsHttps}</p>;
  }
  return (
    <>
      <button type="button" class="button" onClick={locate} disabled={locating.value}>
        {locating.value ? words.place.locating : words.place.useLocation}
      </button>
      <p class={refused.value ? 'wrong' : 'unseen'} role="alert">
        {refused.value && words.place.locationRefused}
      </p>
    </>
  );
}

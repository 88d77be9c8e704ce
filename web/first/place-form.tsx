import { signal } from '@preact/signals';
import type { Setup } from '../../model/setup.ts';
import { refresh, tub, tubName } from '../live.ts';
import { get, send } from '../service.ts';
import { ownTimeZone, words } from '../speech.ts';

/** The one thing that a tub cannot do without: where it stands. */

const latitude = signal('');
const longitude = signal('');
const zone = signal(ownTimeZone);
const name = signal<string | null>(null);
const saving = signal(false);
const locating = signal(false);
const wrong = signal<string | null>(null);

/** A street apart is near enough for the sun, and tells less about the owner. */
const DECIMALS = 3;

/** `−41,27` is a number too; null for what is none, or lies beyond the limit. */
function degreesIn(text: string, limit: number): number | null {
  const plain = text.trim().replace('−', '-').replace(',', '.').replace(/°$/, '');
  if (!/^-?\d+(\.\d+)?$/.test(plain)) return null;
  const degrees = Number(plain);
  return Math.abs(degrees) <= limit ? degrees : null;
}

/** Phones give their location only to pages that came over HTTPS, or from themselves. */
const canLocate = () => isSecureContext && 'geolocation' in navigator;

function locate(): void {
  locating.value = true;
  wrong.value = null;
  navigator.geolocation.getCurrentPosition(
    ({ coords }) => {
      latitude.value = coords.latitude.toFixed(DECIMALS);
      longitude.value = coords.longitude.toFixed(DECIMALS);
      locating.value = false;
    },
    () => {
      wrong.value = words.place.locationRefused;
      locating.value = false;
    },
    { timeout: 20_000, maximumAge: 600_000 },
  );
}

async function save(): Promise<void> {
  const lat = degreesIn(latitude.value, 90);
  const lon = degreesIn(longitude.value, 180);
  if (lat === null || lon === null) {
    wrong.value = lat === null ? words.place.wrongLatitude : words.place.wrongLongitude;
    return;
  }
  saving.value = true;
  wrong.value = await put({ latitude: lat, longitude: lon, timeZone: zone.value });
  saving.value = false;
  if (wrong.value === null) await refresh();
}

/** Adds the place to the set-up in force; the sentence of what went wrong, or null. */
async function put(place: Setup['tubs'][number]['place']): Promise<string | null> {
  const id = tub.value;
  const current = await get<Setup>('/api/setup');
  if (!current.ok || id === null) return failure(current.ok ? 0 : current.status, '');
  const setup = withPlace(current.body, id, place);
  const headers: Record<string, string> = current.etag === null ? {} : { 'if-match': current.etag };
  const answer = await send<Setup>('PUT', '/api/setup', setup, headers);
  return answer.ok ? null : failure(answer.status, answer.detail);
}

function withPlace(setup: Setup, id: string, place: Setup['tubs'][number]['place']): Setup {
  const named = name.value?.trim() ? { name: name.value.trim() } : {};
  const others = setup.tubs.filter((each) => each.id !== id);
  const before = setup.tubs.find((each) => each.id === id);
  return { ...setup, tubs: [...others, { ...before, id, ...named, place }] };
}

function failure(status: number, detail: string): string {
  if (status === 403) return words.place.viewer;
  if (status === 412) return words.place.changedMeanwhile;
  return words.place.failed(detail || words.frame.unreachable.sentence);
}

export function PlaceForm() {
  const { place } = words;
  return (
    <form
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (!saving.value) save();
      }}
    >
      <h2>{place.title}</h2>
      <p>{place.why}</p>
      {canLocate() && (
        <button type="button" class="button" onClick={locate} disabled={locating.value}>
          {locating.value ? place.locating : place.useLocation}
        </button>
      )}
      <Field id="latitude" label={place.latitude} hint={place.latitudeHint} value={latitude} />
      <Field id="longitude" label={place.longitude} hint={place.longitudeHint} value={longitude} />
      <Zone />
      <div class="field">
        <label for="name">{place.name}</label>
        <input
          id="name"
          autocomplete="off"
          maxLength={80}
          aria-describedby="name-hint"
          value={name.value ?? tubName.value ?? ''}
          onInput={(event) => {
            name.value = event.currentTarget.value;
          }}
        />
        <span class="hint" id="name-hint">
          {place.nameHint}
        </span>
      </div>
      <p class={wrong.value === null ? 'unseen' : 'wrong'} role="alert">
        {wrong.value}
      </p>
      <button type="submit" class="button main" disabled={saving.value}>
        {saving.value ? place.saving : place.save}
      </button>
    </form>
  );
}

function Field(props: { id: string; label: string; hint: string; value: typeof latitude }) {
  return (
    <div class="field">
      <label for={props.id}>{props.label}</label>
      <input
        id={props.id}
        inputMode="text"
        autocomplete="off"
        aria-describedby={`${props.id}-hint`}
        value={props.value.value}
        onInput={(event) => {
          props.value.value = event.currentTarget.value;
        }}
      />
      <span class="hint" id={`${props.id}-hint`}>
        {props.hint}
      </span>
    </div>
  );
}

/** All zones that this browser knows, its own first chosen. */
function Zone() {
  const known = Intl.supportedValuesOf('timeZone');
  const zones = known.includes(zone.value) ? known : [zone.value, ...known];
  return (
    <div class="field">
      <label for="timeZone">{words.place.timeZone}</label>
      <select
        id="timeZone"
        value={zone.value}
        onChange={(event) => {
          zone.value = event.currentTarget.value;
        }}
      >
        {zones.map((each) => (
          <option key={each} value={each}>
            {each.replaceAll('_', ' ')}
          </option>
        ))}
      </select>
    </div>
  );
}

import { batch, computed, signal } from '@preact/signals';
import { fixedPoints } from '../../model/points.ts';
import { address, go, viewAddress } from '../address.ts';
import { now } from '../live.ts';
import { today } from '../today/shown-day.ts';
import { place } from './speech.ts';
import { type Chosen, queryOf, type Span, spanOf, type View, viewOf, zoomed } from './view.ts';

/** The view of the address, and where a finger has moved it since. */

const view = computed(() => viewOf(viewAddress.value));

export const chosen = computed(() => view.value.chosen);

/** Every point that was heard, in the order in which people read them. */
export const heard = computed<string[]>(() => {
  const names = Object.keys(now.value?.values ?? {});
  const rank = (name: string) => {
    const found = fixedPoints.indexOf(name);
    return found < 0 ? fixedPoints.indexOf('collector/temperature') + 0.5 : found;
  };
  return names.sort((a, b) => rank(a) - rank(b) || a.localeCompare(b, 'en', { numeric: true }));
});

/** What tells most of a loop, for whoever has chosen nothing. */
const usual = ['tub/temperature', 'collector/temperature', 'collector/outlet', 'pump/running'];

export const points = computed<string[]>(() => {
  const { points } = view.value;
  if (points !== null) return points;
  const found = usual.filter((point) => heard.value.includes(point));
  return found.length > 0 ? found : heard.value.slice(0, 3);
});

const ofAddress = computed<Span>(() => spanOf(chosen.value, today.value, place.value));

/** Where a finger holds it just now, for as long as the address does not say so. */
const moved = signal<Span | null>(null);

/** What is drawn. */
export const shown = computed<Span>(() => moved.value ?? ofAddress.value);

/** What is fetched: only what the address says, so that nothing is asked while a finger moves. */
export const settled = ofAddress;

const sameView = (other: Partial<View>) =>
  address(`/traces${queryOf({ points: view.value.points, chosen: chosen.value, ...other })}`);

export const addressOf = (next: Chosen): string => sameView({ chosen: next });

export const zoomAddress = (times: number): string => {
  const { from, to } = settled.value;
  return addressOf({ kind: 'instants', ...zoomed(settled.value, times, (from + to) / 2) });
};

/** Zooms in place of an address that would be followed. */
export const zoomTo = (times: number, around: number): void =>
  go(addressOf({ kind: 'instants', ...zoomed(settled.value, times, around) }));

/** Lines come and go in place: nobody wants to go back through each of them. */
export function choosePoints(next: string[]): void {
  const ordered = heard.value.filter((point) => next.includes(point));
  go(sameView({ points: ordered }), true);
}

export function move(next: Span): void {
  moved.value = next;
}

/** What the finger chose stands in the address from now on. */
export function letGo(): void {
  const next = moved.value;
  if (next === null) return;
  batch(() => {
    moved.value = null;
    go(addressOf({ kind: 'instants', ...next }));
  });
}

/** The instant that is read; null: none. */
export const cursor = signal<number | null>(null);

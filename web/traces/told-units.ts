import { type PointKind, unitOf } from '../../model/points.ts';
import type { Speaker } from '../../model/words/speaker.ts';

/** Values of a kind as numbers in the person's own units, and what these are called. */

const LITRES_PER_GALLON = 3.785411784; // US liquid gallon, exact

const inGallons = (kind: PointKind, { manner }: Speaker) =>
  manner.volume === 'gal' && (kind === 'flow' || kind === 'volume');

export function toUnits(kind: PointKind, say: Speaker): (value: number) => number {
  if (kind === 'temperature') return say.toDegrees;
  return inGallons(kind, say) ? (litres) => litres / LITRES_PER_GALLON : (value) => value;
}

export function unitTold(kind: PointKind, say: Speaker): string {
  if (kind === 'temperature') return `°${say.manner.temperature}`;
  return inGallons(kind, say) ? unitOf[kind].replace(/^l/, 'gal') : unitOf[kind];
}

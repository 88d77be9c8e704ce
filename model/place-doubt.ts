import { zonePlace } from './zone-places.ts';

/** Whether a place can be meant, held against its time zone: a minus that was forgotten spoils every sun figure. */

export interface Coordinates {
  /** degrees, north is positive */
  latitude: number;
  /** degrees, east is positive */
  longitude: number;
}

/** How far the place lies from the zone's principal one, and what may have been meant instead. */
export interface PlaceDoubt {
  km: number;
  meant: Coordinates | null;
}

/** Nobody's zone reaches so far from its principal place; the largest do so to some 4000 km. */
const FAR_KM = 5000;
/** Beside the equator and the meridian of Greenwich either sign is near. */
const NEARER_KM = 1000;
const EARTH_KM = 6371; // mean radius

/** What is against a place; null where nothing is, or its zone belongs to no place. */
export function placeDoubt(place: Coordinates & { timeZone: string }): PlaceDoubt | null {
  const zone = zonePlace(place.timeZone);
  if (zone === null) return null;
  const { latitude, longitude } = place;
  const km = distanceKm(place, zone);
  const others = [
    { latitude: -latitude, longitude },
    { latitude, longitude: -longitude },
    { latitude: -latitude, longitude: -longitude },
    ...(Math.abs(longitude) <= 90 ? [{ latitude: longitude, longitude: latitude }] : []),
  ];
  const near = Math.min(km - NEARER_KM, FAR_KM);
  const nearer = others.filter((other) => distanceKm(other, zone) < near);
  const [meant = null] = nearer.sort((a, b) => distanceKm(a, zone) - distanceKm(b, zone));
  return meant !== null || km > FAR_KM ? { km, meant } : null;
}

/** Along a great circle (haversine formula). */
function distanceKm(a: Coordinates, b: Coordinates): number {
  const radians = (degrees: number) => (degrees * Math.PI) / 180;
  const haversine = (angle: number) => Math.sin(radians(angle) / 2) ** 2;
  const h =
    haversine(b.latitude - a.latitude) +
    Math.cos(radians(a.latitude)) *
      Math.cos(radians(b.latitude)) *
      haversine(b.longitude - a.longitude);
  return 2 * EARTH_KM * Math.asin(Math.min(1, Math.sqrt(h)));
}

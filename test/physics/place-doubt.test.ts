import { expect, test } from 'vitest';
import { placeDoubt } from '../../model/place-doubt.ts';
import { zonePlace } from '../../model/zone-places.ts';

/** Towns as any atlas has them [degrees north, degrees east], and the time that they keep. */
const towns: [town: string, latitude: number, longitude: number, timeZone: string][] = [
  ['Nelson', -41.27, 173.28, 'Pacific/Auckland'],
  ['Invercargill', -46.41, 168.35, 'Pacific/Auckland'],
  ['Kashgar', 39.47, 75.99, 'Asia/Shanghai'],
  ['Banda Aceh', 5.55, 95.32, 'Asia/Jakarta'],
  ['Barcelona', 41.39, 2.17, 'Europe/Madrid'],
  ['Lowestoft', 52.48, 1.75, 'Europe/London'],
  ['Penzance', 50.12, -5.54, 'Europe/London'],
  ['Macapá', 0.03, -51.07, 'America/Belem'],
  ['Singapore', 1.29, 103.85, 'Asia/Singapore'],
  ['Nairobi', -1.29, 36.82, 'Africa/Nairobi'],
  ['Hammerfest', 70.66, 23.68, 'Europe/Oslo'],
  ['Miami', 25.76, -80.19, 'America/New_York'],
  ['Lima', -12.05, -77.04, 'America/Lima'],
  ['Kolkata', 22.57, 88.36, 'Asia/Calcutta'],
  ['Suva', -18.14, 178.44, 'Pacific/Fiji'],
];

test('towns are where their time zones are', () => {
  for (const [town, latitude, longitude, timeZone] of towns) {
    expect(placeDoubt({ latitude, longitude, timeZone }), town).toBeNull();
  }
});

test('a forgotten minus is told from the time zone, with what was meant', () => {
  for (const [town, latitude, longitude, timeZone] of towns) {
    if (latitude > -12) continue;
    const doubt = placeDoubt({ latitude: -latitude, longitude, timeZone });
    expect(doubt?.meant, town).toEqual({ latitude, longitude });
  }
  expect(
    placeDoubt({ latitude: 25.76, longitude: 80.19, timeZone: 'America/New_York' })?.meant,
  ).toEqual({ latitude: 25.76, longitude: -80.19 });
  expect(
    placeDoubt({ latitude: 12.05, longitude: 77.04, timeZone: 'America/Lima' })?.meant,
  ).toEqual({ latitude: -12.05, longitude: -77.04 });
});

test('two numbers in each other’s fields are told too', () => {
  expect(
    placeDoubt({ latitude: 2.17, longitude: 41.39, timeZone: 'Europe/Madrid' })?.meant,
  ).toEqual({ latitude: 41.39, longitude: 2.17 });
});

test('the phone’s zone on another continent is doubted without a better place', () => {
  // Nelson to Kolkata is about as far as a third of the way round the earth, 40 000 km
  const doubt = placeDoubt({ latitude: -41.27, longitude: 173.28, timeZone: 'Asia/Kolkata' });
  expect(doubt?.meant).toBeNull();
  expect(doubt?.km).toBeGreaterThan(10_000);
});

test('every zone that is offered has its place, but for those that belong to none', () => {
  const without = Intl.supportedValuesOf('timeZone').filter((zone) => zonePlace(zone) === null);
  expect(without.filter((zone) => !/^(UTC|Etc\/.*|[A-Z0-9]+)$/.test(zone))).toEqual([]);
  expect(placeDoubt({ latitude: 41, longitude: 173, timeZone: 'UTC' })).toBeNull();
  expect(zonePlace('Pacific/Nowhere')).toBeNull();
});

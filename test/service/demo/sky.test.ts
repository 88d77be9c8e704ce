import { Body, Equator, Horizon, Observer } from 'astronomy-engine';
import { expect, test, vi } from 'vitest';
import { demoTub } from '../../../collector-service/demo/place.ts';
import { beamShare, sunAt, weatherAt } from '../../../collector-service/demo/sky.ts';

vi.setConfig({ testTimeout: 60_000 });

const { latitude, longitude, elevationM } = demoTub.place;
const observer = new Observer(latitude, longitude, elevationM);
const rad = Math.PI / 180;
const MINUTE = 60_000;
const DAY = 86_400_000;

/** By astronomy-engine, without refraction. */
function sunOutside(t: number) {
  const { ra, dec } = Equator(Body.Sun, new Date(t), observer, true, true);
  const { altitude, azimuth } = Horizon(new Date(t), observer, ra, dec);
  const tilt = demoTub.collectors.tiltDeg * rad;
  const sinElevation = Math.sin(altitude * rad);
  const aside = (azimuth - demoTub.collectors.azimuthDeg) * rad;
  const cosIncidence =
    sinElevation * Math.cos(tilt) + Math.cos(altitude * rad) * Math.sin(tilt) * Math.cos(aside);
  return { sinElevation, cosIncidence };
}

test('the sun stands where an outside almanac puts it', () => {
  let largest = 0;
  let count = 0;
  for (let t = Date.UTC(2026, 0, 1); t < Date.UTC(2027, 0, 1); t += 7.3 * 3_600_000) {
    const ours = sunAt(t);
    const outside = sunOutside(t);
    largest = Math.max(
      largest,
      Math.abs(ours.sinElevation - outside.sinElevation),
      Math.abs(ours.cosIncidence - outside.cosIncidence),
    );
    count++;
  }
  console.info(`sun against astronomy-engine: n ${count}, largest ${(largest / rad).toFixed(3)}°`);
  expect(count).toBe(1200);
  expect(largest / rad).toBeLessThan(0.1);
});

test('sky and air move without a step, also from day to day', () => {
  let before = weatherAt(6, Date.UTC(2026, 9, 1));
  let airK = 0;
  let clear = 0;
  for (let t = Date.UTC(2026, 9, 1); t < Date.UTC(2026, 10, 1); t += 10_000) {
    const now = weatherAt(6, t);
    airK = Math.max(airK, Math.abs(now.airC - before.airC));
    clear = Math.max(clear, Math.abs(now.clearness - before.clearness));
    if (sunAt(t).sinElevation <= 0) expect(now.planeWm2).toBe(0);
    before = now;
  }
  console.info(`largest step in ten seconds: air ${airK.toFixed(4)} K, clearness ${clear}`);
  expect(airK).toBeLessThan(0.01);
  expect(clear).toBeLessThan(0.001);
});

test('sunshine is as strong as it can be at this place, and no stronger', () => {
  let most = 0;
  const days: number[] = [];
  for (let day = Date.UTC(2026, 0, 1, 12); day < Date.UTC(2027, 0, 1); day += DAY) {
    let kwhPerM2 = 0;
    for (let t = day; t < day + DAY; t += MINUTE) {
      const { planeWm2 } = weatherAt(6, t);
      most = Math.max(most, planeWm2);
      kwhPerM2 += planeWm2 / 60_000;
    }
    days.push(kwhPerM2);
  }
  days.sort((a, b) => a - b);
  const median = days[Math.floor(days.length / 2)]!;
  console.info(`most ${most.toFixed(0)} W/m², best day ${days.at(-1)!.toFixed(2)} kWh/m²`);
  console.info(`median day ${median.toFixed(2)}, dullest ${days[0]!.toFixed(2)} kWh/m²`);
  expect(most).toBeGreaterThan(950);
  expect(most).toBeLessThan(1150);
  // Clear days at 45° of latitude, tilted 45°, reach 7.6 kWh/m² in sea-level air.
  expect(days.at(-1)!).toBeGreaterThan(7);
  expect(days.at(-1)!).toBeLessThan(8.2);
  expect(days[0]!).toBeGreaterThan(0.3);
  expect(days[0]!).toBeLessThan(2);
  expect(median).toBeGreaterThan(3);
  expect(median).toBeLessThan(6);
});

test('a year has clear, broken and shut skies', () => {
  const kinds = { clear: 0, broken: 0, shut: 0 };
  for (let day = Date.UTC(2026, 0, 1); day < Date.UTC(2027, 0, 1); day += DAY) {
    const shares = Array.from({ length: 97 }, (_, i) => beamShare(6, day - 300_000 * i));
    const low = Math.min(...shares);
    const high = Math.max(...shares);
    if (low > 0.9) kinds.clear++;
    else if (high < 0.1) kinds.shut++;
    else if (high > 0.5) kinds.broken++;
  }
  console.info(kinds);
  for (const days of Object.values(kinds)) expect(days).toBeGreaterThan(40);
});

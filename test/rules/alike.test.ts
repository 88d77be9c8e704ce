import { expect, test } from 'vitest';
import { alikeSince, unlikeFrom } from '../../model/alerts/alike.ts';
import type { TubSetup } from '../../model/setup.ts';
import { type SettingsVersion, tubSettings } from '../../model/tub-settings.ts';

const place = { latitude: -41.27, longitude: 173.28, timeZone: 'UTC' };
const DAY = 86_400_000;
const version = (from: number, said: Partial<TubSetup> = {}): SettingsVersion => ({
  from,
  settings: tubSettings({ id: 'tub', place, ...said }),
});
const always = Number.NEGATIVE_INFINITY;
const larger = { tub: { litres: 1400 } };

test('days are alike since litres, collectors or corrections were last changed', () => {
  expect(alikeSince([version(always)], 9 * DAY)).toBe(always);
  const prices = [version(always), version(3 * DAY, { evening: { at: '21:00' } })];
  expect(alikeSince(prices, 9 * DAY)).toBe(always);
  for (const said of [
    larger,
    { collectors: { areaM2: 1 } },
    { corrections: { 'collector/inlet': { offset: 0.4 } } },
  ]) {
    const versions = [version(always), version(3 * DAY, said)];
    versions.push(version(5 * DAY, { ...said, evening: { at: '21:00' } }));
    expect(alikeSince(versions, 9 * DAY)).toBe(3 * DAY);
    expect(alikeSince(versions, 2 * DAY)).toBe(always);
  }
});

test('a set-up that is changed for the past makes its days unlike from there on', () => {
  const before = [version(always), version(3 * DAY, { evening: { at: '21:00' } })];
  expect(unlikeFrom(before, [version(always)])).toBe(Number.POSITIVE_INFINITY);
  expect(unlikeFrom(before, [version(always, larger)])).toBe(always);
  expect(unlikeFrom(before, [...before, version(5 * DAY, larger)])).toBe(5 * DAY);
});

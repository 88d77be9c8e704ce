import { expect, test } from 'vitest';
import { demoTub } from '../../../collector-service/demo/place.ts';
import { lookAhead } from '../../../collector-service/watch/evening-book.ts';
import { dayBounds, instantOf } from '../../../model/civil-time.ts';
import { logEntry } from '../../../model/owner-log.ts';
import { withLog } from '../../../model/owner-log-settings.ts';
import { MINUTE, QUARTER } from '../../../model/readings.ts';
import { tubSettings } from '../../../model/tub-settings.ts';
import { quarters } from '../../physics/quarters.ts';

const settings = { ...tubSettings(demoTub), evening: { at: '20:00' } };
const { timeZone } = settings.place;
const versions = [{ from: Number.NEGATIVE_INFINITY, settings }];
const midnight = dayBounds('2026-03-10', timeZone).from;

/** A tub that has always been heard until an instant. */
const heardUntil = (end: number) => ({
  quarters: async (from: number, to: number) =>
    quarters(from, Math.max(0, Math.ceil((Math.min(to, end) - from) / QUARTER))),
  figures: () => null,
});

test('at midnight the tub is still known, and the evening is that of the new day', async () => {
  for (const askedAt of [midnight - QUARTER, midnight, midnight + QUARTER]) {
    const look = await lookAhead(heardUntil(askedAt), versions, askedAt);
    expect(look!.today.at).toBe(instantOf('2026-03-10', '20:00', timeZone));
    expect(look!.today.tubC).toBe(38);
    expect(look!.foreseen.days).toBe(35);
  }
});

test('of a tub that has fallen silent nothing is foreseen', async () => {
  const source = heardUntil(midnight - 4 * QUARTER);
  expect(await lookAhead(source, versions, midnight)).toBeNull();
});

test('a tub that began to be heard in this quarter is known by it', async () => {
  const source = {
    quarters: async (from: number, to: number) =>
      quarters(from, (to - from) / QUARTER).filter((quarter) => quarter.from === midnight),
    figures: () => null,
  };
  expect((await lookAhead(source, versions, midnight + 5 * MINUTE))!.today.tubC).toBe(38);
  expect(await lookAhead(source, versions, midnight + 3 * QUARTER + 5 * MINUTE)).toBeNull();
});

test('a set-up that was changed in this quarter is looked ahead with', async () => {
  const from = midnight + 2 * MINUTE;
  const changed = { from, settings: { ...settings, evening: { at: '21:00' } } };
  const look = (await lookAhead(heardUntil(midnight), [...versions, changed], from + MINUTE))!;
  expect(look.today.settings).toBe(changed.settings);
  expect(look.today.at).toBe(instantOf('2026-03-10', '21:00', timeZone));
  expect(await lookAhead(heardUntil(midnight), [changed], from + MINUTE)).not.toBeNull();
});

test('today’s hour is looked ahead to until it has come', async () => {
  const eight = instantOf('2026-03-10', '20:00', timeZone);
  const hourAt = async (present: number) =>
    (await lookAhead(heardUntil(present), versions, present))!.today.at;
  for (const minutes of [16, 15, 4, 1]) {
    expect(await hourAt(eight - minutes * MINUTE)).toBe(eight);
  }
  for (const minutes of [0, 1, 16]) {
    expect(await hourAt(eight + minutes * MINUTE)).toBe(instantOf('2026-03-11', '20:00', timeZone));
  }
});

test('a bath in the log ahead of its time cools the evening that it lies before', async () => {
  const askedAt = instantOf('2026-03-10', '14:00', timeZone);
  const expected = async (from: string, until: string) => {
    const said = {
      kind: 'bathing' as const,
      from: new Date(instantOf('2026-03-10', from, timeZone)).toISOString(),
      until: new Date(instantOf('2026-03-10', until, timeZone)).toISOString(),
    };
    const told = withLog(versions, [logEntry('bath', said)]);
    return (await lookAhead(heardUntil(askedAt), told, askedAt))!.foreseen.middleC;
  };
  const after = await expected('20:00', '21:00');
  expect(await expected('17:00', '20:00')).toBeLessThan(after - 1);
  expect(await expected('12:00', '13:00')).toBeCloseTo(after, 9);
});

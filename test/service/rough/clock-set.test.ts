import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../../model/readings.ts';
import type { TubSetup } from '../../../model/setup.ts';
import { type ByItsClock, byItsClock } from './by-its-clock.ts';

/** Eleven in the morning at the place. */
const START = Date.parse('2026-01-14T22:00:00Z');
const BUILT = Date.parse('2025-12-01T00:00:00Z');
const DATE = '2026-01-15';
const kowhai: TubSetup = {
  id: 'kowhai',
  place: { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' },
};

/** A board whose own clock is right, and one that has none: one reading of each point a minute. */
async function minute(house: ByItsClock, trueTime: number, withStamped = true): Promise<void> {
  const t = trueTime / 1000;
  const wobble = ((trueTime / MINUTE) % 3) * 0.0625;
  const values = {
    'tub/temperature': 36 + wobble,
    'collector/temperature': 43 + wobble,
    'collector/inlet': 36 + wobble,
    'collector/outlet': 41 + wobble,
    'pump/flow': 4 + wobble,
    'pump/running': 1,
  };
  const records = Object.entries(values).map(([n, v]) => ({ n, t, v }));
  await house.take('sunsteep/kowhai', JSON.stringify(records));
  if (withStamped) await house.take('sunsteep/kowhai/outdoor/temperature', String(18 + wobble));
  await house.tick();
}

const told = async ({ watch }: ByItsClock) =>
  (await watch.alerts('kowhai', false))!.map(({ fault, point, since, until }) =>
    [fault, point ?? '', since, until].join(' '),
  );

const kept = async ({ store }: ByItsClock, points: string[]) =>
  (await store.page('kowhai', points, -8.64e15, 8.64e15, 1e6)).map(({ t }) => t);

/** What a clock that always was right makes of the same minutes. */
async function steady(minutes: number) {
  const house = await byItsClock(START, BUILT, { tubs: [kowhai] });
  for (let n = 0; n < minutes; n++) {
    house.clock.t = START + n * MINUTE;
    await minute(house, house.clock.t);
  }
  return { day: await house.watch.day('kowhai', DATE), alerts: await told(house) };
}

test('a clock that is set an hour ahead and back while it runs changes no sum, and leaves nothing told', async () => {
  const MINUTES = 300;
  const house = await byItsClock(START, BUILT, { tubs: [kowhai] });
  /** By how much the clock is wrong in each minute. */
  const offMs = (n: number) => {
    if (n >= 60 && n < 90) return HOUR;
    if (n >= 180 && n < 200) return -HOUR;
    return 0;
  };
  const wrong: number[] = [];
  for (let n = 0; n < MINUTES; n++) {
    const trueTime = START + n * MINUTE;
    house.clock.t = trueTime + offMs(n);
    await minute(house, trueTime);
    if (house.intake.health().clockWrong) wrong.push(n);
  }
  // ahead nobody knows; back again it is known until the newest arrival is no longer ahead
  expect(wrong).toEqual([
    ...Array.from({ length: 59 }, (_, i) => 90 + i),
    ...Array.from({ length: 20 }, (_, i) => 180 + i),
  ]);
  const own = await kept(house, ['tub/temperature']);
  expect(own).toEqual(Array.from({ length: MINUTES }, (_, n) => START + n * MINUTE));
  const stamped = await kept(house, ['outdoor/temperature']);
  const [refused] = await house.store.unreadable();
  expect(refused).toMatchObject({ why: 'the clock of the service is wrong' });
  // one minute is shown twice by this clock before it is known to be wrong
  expect(stamped.length + refused!.count).toBe(MINUTES - 1);
  const clean = await steady(MINUTES);
  expect(clean.alerts).toEqual([]);
  const day = (await house.watch.day('kowhai', DATE))!;
  const { litres, gainKwh, pumpHours, measuredKwh, coverage } = clean.day!;
  expect(litres).toBeGreaterThan(1_000);
  expect(day).toMatchObject({ litres, gainKwh, pumpHours, measuredKwh, coverage });
  expect((await house.watch.days('kowhai'))!.map(({ date }) => date)).toEqual([DATE]);
  expect(await house.watch.months('kowhai')).toMatchObject([{ litres, gainKwh }]);
  expect((await house.watch.evening('kowhai'))!.at).toBe('2026-01-15T07:00:00.000Z');
  const alerts = await told(house);
  console.log(`alerts of the clock that was set: ${JSON.stringify(alerts)}`);
  expect((await house.watch.alerts('kowhai', true))!).toEqual([]);
});

test('a service that starts in 1970 keeps what has its own time, and is right once its clock is', async () => {
  const house = await byItsClock(5 * MINUTE, BUILT, { tubs: [kowhai] });
  const stranger = (t: number) =>
    house.take('sunsteep/rata/tub/temperature', JSON.stringify([{ t: t / 1000, v: 36 }]));
  for (let n = 0; n < 60; n++) {
    house.clock.t += MINUTE;
    await minute(house, START + n * MINUTE);
    await stranger(START + n * MINUTE);
    expect(await house.watch.forgetStrangers()).toEqual([]);
  }
  expect(house.intake.health().clockWrong).toBe(true);
  expect(await kept(house, ['outdoor/temperature'])).toEqual([]);
  for (let n = 60; n < 180; n++) {
    house.clock.t = START + n * MINUTE;
    // nobody has been silent for a day: it is the clock that was set
    expect(await house.watch.forgetStrangers()).toEqual([]);
    await minute(house, house.clock.t);
  }
  expect(house.intake.health().clockWrong).toBe(false);
  expect(await house.store.page('rata', ['tub/temperature'], 0, 8e15, 1e4)).toHaveLength(60);
  expect(await kept(house, ['tub/temperature'])).toHaveLength(180);
  expect(await kept(house, ['outdoor/temperature'])).toHaveLength(120);
  const clean = await steady(180);
  const { litres, gainKwh, pumpHours } = clean.day!;
  expect(await house.watch.days('kowhai')).toMatchObject([
    { date: DATE, litres, gainKwh, pumpHours },
  ]);
  expect(await house.watch.months('kowhai')).toMatchObject([{ month: '2026-01', litres }]);
  console.log(`alerts of a start in 1970: ${JSON.stringify(await told(house))}`);
  expect(await told(house)).toEqual([]);
});

test('a tub that nobody set up goes after a day without a reading, not after a clock’s leap', async () => {
  const house = await byItsClock(START, BUILT, { tubs: [kowhai] });
  await house.take('sunsteep/rata/tub/temperature', '36');
  expect(await house.watch.forgetStrangers()).toEqual([]);
  house.clock.t += 48 * HOUR;
  expect(await house.watch.forgetStrangers()).toEqual([]);
  house.clock.t -= 48 * HOUR;
  expect(await house.watch.forgetStrangers()).toEqual([]);
  for (const end = START + 24 * HOUR; house.clock.t < end; house.clock.t += 5 * MINUTE) {
    expect(await house.watch.forgetStrangers()).toEqual([]);
  }
  house.clock.t += 5 * MINUTE;
  expect(await house.watch.forgetStrangers()).toEqual(['rata']);
  expect((await house.store.tubs()).map(({ tub }) => tub)).not.toContain('rata');
});

test('a board whose clock is three hours off is told of, and is right as soon as that is', async () => {
  for (const offMs of [3 * HOUR, -3 * HOUR]) {
    const house = await byItsClock(START, BUILT, { tubs: [kowhai] });
    const run = async (from: number, to: number, off: number) => {
      for (let n = from; n < to; n++) {
        house.clock.t = START + n * MINUTE;
        await minute(house, house.clock.t + off);
      }
    };
    await run(0, 30, 0);
    await run(30, 70, offMs);
    const standing = (await house.watch.alerts('kowhai', true))!;
    expect(standing.map(({ fault }) => fault)).toContain('clock-wrong');
    const times = await kept(house, ['tub/temperature']);
    // what is ahead of all clocks is no reading, what is late is one of its own time
    expect(times).toHaveLength(offMs > 0 ? 30 : 70);
    expect(Math.max(...times)).toBeLessThanOrEqual(START + 70 * MINUTE);
    const ahead = (await house.store.unreadable()).reduce((sum, { count }) => sum + count, 0);
    expect(ahead).toBe(offMs > 0 ? 40 : 0);
    await run(70, 130, 0);
    const alerts = (await house.watch.alerts('kowhai', false))!;
    console.log(`${offMs / HOUR} h off: ${JSON.stringify(await told(house))}`);
    expect(alerts.filter(({ fault }) => fault === 'clock-wrong')).toHaveLength(1);
    expect(alerts.filter(({ until }) => until === null)).toEqual([]);
  }
});

import { expect, test } from 'vitest';
import { expectedOn, loopPowerW } from '../../model/expected.ts';
import { HOUR } from '../../model/readings.ts';
import { tubSettings } from '../../model/tub-settings.ts';
import { known, quarters } from './quarters.ts';

// Common practice, no source: what people who build such loops know, to see that nothing is off by a
// factor. The figures are theirs; how near they must be met is ours.

const settings = tubSettings({
  id: 'kowhai',
  place: { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' },
});
const learned = known(settings.tub.lossWPerK, settings.loop.flowLPerMin);

test('a collector at tub temperature gives three to four times what a photovoltaic panel would', () => {
  const panel = { share: 0.2, perK: -0.0035, nominalC: 47 };
  for (const [sunW, airC] of [
    [1000, 22],
    [850, 20],
    [800, 25],
  ] as const) {
    const sun = { beam: 0.85 * sunW, diffuse: 0.15 * sunW, incidence: 20 };
    const { count, areaM2 } = settings.collectors;
    const noPipes = { ...settings, loop: { ...settings.loop, pipeMetres: 0 } };
    const heat = loopPowerW(sun, 38, airC, count, noPipes) / (count * areaM2);
    const cellC = airC + ((panel.nominalC - 20) * sunW) / 800;
    const electricity = sunW * panel.share * (1 + panel.perK * (cellC - 25));
    console.info(`${sunW} W/m², ${airC} °C: ${(heat / electricity).toFixed(2)} times`);
    expect(heat / electricity).toBeGreaterThan(3);
    expect(heat / electricity).toBeLessThan(4);
  }
});

test('pump and controller take 15 W in all, 13 of them the pump', () => {
  expect(settings.pump.watts).toBe(13);
  expect(settings.pump.watts + settings.pump.standbyWatts).toBe(15);
});

test('a tub is held at 37 to 38 °C', () => {
  expect(settings.tub.targetC).toBeGreaterThanOrEqual(37);
  expect(settings.tub.targetC).toBeLessThanOrEqual(38);
});

test('one small collector a seat, 10 to 15 m away, carries a covered tub on sunny days', () => {
  expect(settings.collectors.count).toBe(settings.tub.seats);
  expect(settings.loop.pipeMetres / 2).toBeGreaterThanOrEqual(10);
  expect(settings.loop.pipeMetres / 2).toBeLessThanOrEqual(15);
  const days = { summer: ['2026-01-14T11:00Z', 18], spring: ['2026-10-14T11:00Z', 13] } as const;
  for (const [season, [start, airC]] of Object.entries(days)) {
    const day = { from: Date.parse(start), to: Date.parse(start) + 24 * HOUR };
    const sunny = quarters(day.from, 96, () => ({ tubC: 38, airC, sunKwhPerM2: null }));
    const { expectedKwh } = expectedOn({
      settings,
      learned,
      quarters: sunny,
      day,
      present: day.to,
    });
    const lostKwh = (settings.tub.lossWPerK * (38 - airC) * 24) / 1000;
    console.info(`${season}: ${expectedKwh.toFixed(1)} kWh come, ${lostKwh.toFixed(1)} leak`);
    expect(expectedKwh).toBeGreaterThan(lostKwh);
    expect(expectedKwh).toBeLessThan(4 * lostKwh);
  }
});

test('in a grey week it does not, and the backup tops it up', () => {
  const day = { from: Date.parse('2026-06-20T12:00Z'), to: Date.parse('2026-06-21T12:00Z') };
  const grey = quarters(day.from, 96, () => ({ tubC: 38, airC: 8, sunKwhPerM2: 0.02 }));
  const { expectedKwh } = expectedOn({ settings, learned, quarters: grey, day, present: day.to });
  expect(expectedKwh).toBeLessThan((settings.tub.lossWPerK * 30 * 24) / 1000 / 4);
});

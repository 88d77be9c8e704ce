import { expect, it } from 'vitest';
import type { Setup } from '../../model/setup.ts';
import { Changing } from '../../web/setup/sensors/changing.ts';
import { wiredWith, wiredWithout } from '../../web/setup/sensors/wiring.ts';

it('tells the sensor that somebody warms in the hand, and none while all go alike', () => {
  const changing = new Changing();
  for (let s = 0; s <= 20; s += 5) {
    changing.take('collector/inlet', s * 1000, 20 + 0.02 * s);
    changing.take('collector/outlet', s * 1000, 21 + 0.02 * s);
  }
  expect(changing.most()).toBeNull();
  for (let s = 25; s <= 35; s += 5) {
    changing.take('collector/inlet', s * 1000, 20.5 + 0.2 * (s - 20));
    changing.take('collector/outlet', s * 1000, 21.4);
  }
  expect(changing.most()).toMatchObject({ name: 'collector/inlet' });
  expect(changing.most()!.change).toBeGreaterThan(2);
  for (let s = 70; s <= 100; s += 5) {
    changing.take('collector/inlet', s * 1000, 23.5);
    changing.take('collector/outlet', s * 1000, 21.4);
  }
  expect(changing.most()).toBeNull();
});

it('wires a number once, and takes it out without touching the rest', () => {
  const other = { topic: 'roof/t', tub: 'kowhai', point: 'collector/temperature' };
  const setup: Setup = { tubs: [], wiring: [other] };
  const wire = { topic: 'shed/s', pointer: '/t', tub: 'kowhai', point: 'outdoor/temperature' };
  const once = wiredWith(setup, wire);
  expect(once.wiring).toEqual([other, wire]);
  const moved = { ...wire, point: 'collector/inlet' };
  expect(wiredWith(once, moved).wiring).toEqual([other, moved]);
  expect(wiredWithout(once, wire)).toEqual(setup);
  expect(wiredWith({ tubs: [] }, wire)).toEqual({ tubs: [], wiring: [wire] });
});

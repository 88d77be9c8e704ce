import type { Scene, Trouble } from '../trouble.ts';
import type { Fault, Standing } from './fault.ts';

/** Points that a fault of one sensor may strike, the first unless another is named. */
type Strike = (trouble: Trouble, point: string, standing: Standing) => void;

interface SensorFault extends Omit<Fault, 'begin'> {
  begin(beginning: Parameters<Fault['begin']>[0]): Strike;
}

/** The same fault at each of some points; its name has the point behind it. */
const at = (points: readonly string[], fault: SensorFault): Fault[] =>
  points.map((point) => ({
    ...fault,
    name: `${fault.name}:${point}`,
    needs: { ...fault.needs, points: [point] },
    begin: (beginning) => {
      const strike = fault.begin(beginning);
      return (trouble, standing) => strike(trouble, point, standing);
    },
  }));

const water = ['tub/temperature', 'collector/inlet', 'collector/outlet'];
const all = [...water, 'collector/temperature', 'outdoor/temperature'];

/** What goes wrong with one thermometer, whatever it feels. */
const anywhere: readonly Fault[] = [
  ...at(all, {
    name: 'wire-open',
    raises: ['sensor-open'],
    begin: ({ house }) => {
      const chip = house.instruments.tub.class.startsWith('digital');
      return ({ says }, point) => says.set(point, () => (chip ? -127 : -80));
    },
  }),
  ...at(all, {
    name: 'wire-short',
    raises: ['sensor-short'],
    begin: ({ house }) => {
      const chip = house.instruments.tub.class.startsWith('digital');
      return ({ says }, point) => says.set(point, () => (chip ? 127.94 : 260));
    },
  }),
  ...at(all, {
    name: 'frozen',
    raises: ['frozen-reading'],
    begin: () => {
      let held: number | null = null;
      return ({ says }, point) =>
        says.set(point, (value) => {
          held ??= value;
          return held;
        });
    },
  }),
  ...at(all, {
    name: 'jumping',
    raises: ['jumping-reading'],
    begin: ({ chance }) => {
      const off = () => chance.oneOf([-1, 1]) * chance.between(8, 15);
      return ({ says }, point) => {
        const jumps = point === 'collector/temperature' ? 3 : 1;
        says.set(point, (value) => (chance.happens(0.06) ? value + jumps * off() : value));
      };
    },
  }),
  ...at(all, {
    name: 'silent',
    raises: ['sensor-silent'],
    begin:
      () =>
      ({ says }, point) =>
        says.set(point, () => null),
  }),
  ...at(['collector/outlet', 'collector/inlet'], {
    name: 'offset',
    raises: ['pair-offset'],
    begin:
      () =>
      ({ says }, point) =>
        says.set(point, (value) => value + 1.4),
  }),
];

/** What goes wrong with where a sensor sits. */
const misplaced: readonly Fault[] = [
  {
    name: 'pair-swapped',
    raises: ['to-and-from-swapped'],
    needs: { points: ['collector/inlet', 'collector/outlet'] },
    begin:
      () =>
      ({ sees }) => {
        sees.set('collector/inlet', (scene) => scene.outletC);
        sees.set('collector/outlet', (scene) => scene.inletC);
      },
  },
  {
    name: 'tub-and-collector-swapped',
    raises: ['to-and-from-swapped'],
    begin:
      () =>
      ({ sees }) => {
        sees.set('tub/temperature', (scene) => scene.collectorC);
        sees.set('collector/temperature', (scene) => scene.tubC);
      },
  },
  {
    name: 'collector-sensor-slipped',
    raises: ['collector-sensor-loose'],
    begin:
      () =>
      ({ sees }) =>
        sees.set('collector/temperature', slipped),
  },
  {
    name: 'tub-sensor-hanging',
    raises: ['tub-sensor-out-of-water'],
    begin:
      () =>
      ({ sees }) =>
        sees.set('tub/temperature', (scene) => scene.airC + 0.12 * (scene.tubC - scene.airC)),
  },
  {
    name: 'sun-on-outdoor-sensor',
    raises: ['outdoor-sensor-in-sun'],
    needs: { points: ['outdoor/temperature'] },
    begin: ({ house, chance }) => {
      const noon = house.place.latitude < 0 ? 0 : 180;
      const middle = noon + chance.oneOf([-1, 1]) * chance.between(15, 60);
      return ({ sees }) =>
        sees.set('outdoor/temperature', (scene) => {
          const away = Math.abs(((scene.sunAzimuthDeg - middle + 540) % 360) - 180);
          return scene.airC + (away < 22 ? scene.globalWm2 / 55 : 0);
        });
    },
  },
  {
    name: 'irradiance-sensor-dusty',
    raises: ['irradiance-sensor-dirty'],
    needs: { points: ['collector/irradiance'] },
    begin:
      () =>
      ({ sees }, { days }) =>
        sees.set('collector/irradiance', (scene) => scene.planeWm2 * Math.max(0.6, 1 - days / 20)),
  },
];

/** Air under the collectors, a little of their heat, and the sun on the cable. */
const slipped = (scene: Scene): number =>
  scene.airC + 0.15 * (scene.collectorC - scene.airC) + scene.planeWm2 / 120;

export const sensorFaults: readonly Fault[] = [...anywhere, ...misplaced];

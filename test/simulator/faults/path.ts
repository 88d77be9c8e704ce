import type { Trouble } from '../trouble.ts';
import { type Fault, simple } from './fault.ts';

const HOUR = 3_600_000; // ms

const hush = ({ says }: Trouble, points: readonly string[]): void => {
  for (const point of points) says.set(point, () => null);
};

/** What goes wrong between the sensors and whoever listens. */
export const pathFaults: readonly Fault[] = [
  {
    name: 'board-silent',
    // a board of which one point alone is heard is no more than its sensor
    raises: ['device-silent', 'sensor-silent'],
    begin: ({ house, chance }) => {
      const { points } = chance.oneOf(house.instruments.boards);
      return (trouble) => hush(trouble, points);
    },
  },
  {
    name: 'nothing-heard',
    raises: ['broker-lost', 'device-silent'],
    begin: ({ house }) => {
      const points = house.instruments.boards.flatMap((board) => board.points);
      return (trouble) => hush(trouble, points);
    },
  },
  simple('weak-supply', ['power-on-value'], (trouble) => {
    trouble.restartsPerDay = 15;
  }),
  simple('summer-time-missed', ['clock-wrong'], (trouble) => {
    trouble.clockMs = -HOUR;
  }),
  simple('clock-drifting', ['clock-wrong'], (trouble, { days }) => {
    trouble.clockMs = -60_000 * days;
  }),
];

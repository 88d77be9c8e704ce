import type { Minute } from '../minutes/minute.ts';
import type { FaultId } from './fault-id.ts';

/** Faults in which what is heard as tub or collectors is something else. */
const outOfPlace: readonly FaultId[] = [
  'frozen-reading',
  'jumping-reading',
  'tub-sensor-out-of-water',
  'to-and-from-swapped',
];

/** Whether a temperature is told just now not to be what its name says: nothing is learned from it. */
export const isOutOfPlace = ({ isTold }: Minute): boolean => outOfPlace.some(isTold);

import type { Minute } from '../minutes/minute.ts';
import type { FaultId } from './fault-id.ts';

const told: readonly FaultId[] = ['running-without-flow', 'pump-power-low', 'pump-power-high'];

/** Whether it is told that the pump moves no water: what loop and collectors do then tells nothing else. */
export const movesNoWater = (minute: Minute): boolean => told.some(minute.isTold);

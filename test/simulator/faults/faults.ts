import type { Fault } from './fault.ts';
import { meterFaults } from './meter.ts';
import { pathFaults } from './path.ts';
import { pumpFaults } from './pump.ts';
import { sensorFaults } from './sensor.ts';
import { tubFaults } from './tub.ts';

/** Every fault that can be scripted, by name. */
export const faults: ReadonlyMap<string, Fault> = new Map(
  [...pumpFaults, ...meterFaults, ...sensorFaults, ...pathFaults, ...tubFaults].map((fault) => [
    fault.name,
    fault,
  ]),
);

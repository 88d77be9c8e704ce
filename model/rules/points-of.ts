import type { FaultId } from './fault-id.ts';
import { rules } from './rules.ts';

const points = new Map(
  rules.map(({ fault, needs, uses = [] }) => [fault, [...new Set([...needs.flat(), ...uses])]]),
);

/** The points that a fault's rule looks at: first those without which it is blind. */
export const pointsOf = (fault: FaultId): string[] => [...(points.get(fault) ?? [])];

import { pointType } from '../points.ts';

/** The temperature sensors among some points. */
export const temperatureSensors = (points: readonly string[]): string[] =>
  points.filter((point) => pointType(point)?.kind === 'temperature' && point !== 'backup/setpoint');

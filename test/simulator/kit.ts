import type { House, Kit, ThermometerTraits } from './house.ts';

/** The points that a kit tells of in a house. */
export function pointsOf(kit: Kit, house: House): string[] {
  const usual = ['tub/temperature', 'collector/temperature', 'pump/running'];
  if (kit === 'A') return usual;
  const { instruments, array } = house;
  const heat = [
    instruments.meter.tells === 'rate' ? 'pump/flow' : 'pump/volume',
    'collector/inlet',
    'collector/outlet',
  ];
  if (kit === 'B') return [...usual, ...heat];
  const each = Array.from({ length: array.count }, (_, i) => `collector/${i + 1}/temperature`);
  const backup = { power: ['backup/power'], energy: ['backup/energy'] };
  const tells = instruments.backupTells;
  return [
    ...usual,
    ...heat,
    'pump/power',
    ...(house.pump.supply === 'own-panel' ? ['pump/voltage'] : []),
    'outdoor/temperature',
    'collector/irradiance',
    ...(house.backup.kind === 'none' || tells === 'energy' ? [] : backup.power),
    ...(house.backup.kind === 'none' || tells === 'power' ? [] : backup.energy),
    'tub/cover',
    'tub/level',
    'filter/running',
    ...(instruments.eachCollector ? each : []),
  ];
}

/** The thermometer of a temperature point, or null for another point. */
export function thermometerAt(point: string, { instruments }: House): ThermometerTraits | null {
  if (point === 'tub/temperature') return instruments.tub;
  if (point === 'collector/temperature') return instruments.collector;
  if (point === 'collector/inlet') return instruments.inlet;
  if (point === 'collector/outlet') return instruments.outlet;
  if (point === 'outdoor/temperature') return instruments.outdoor;
  return point.startsWith('collector/') && point.endsWith('/temperature')
    ? instruments.eachCollector
    : null;
}

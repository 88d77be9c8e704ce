import type { TubSetup } from '../../model/setup.ts';
import { Chance } from './chance.ts';
import { round } from './drawn-house.ts';
import { classLimitK } from './drawn-instruments.ts';
import type { Flaws } from './flaws.ts';
import type { House, MinuteSpan } from './house.ts';
import { thermometerAt } from './kit.ts';

/** How well the owner knows the house: all of it, all but the flow, or no more than where it stands. */
export type Entered = 'right' | 'wrong-flow' | 'nothing';

/** The set-up as an owner of this house would enter it. */
export function enteredSetup(
  seed: number,
  id: string,
  house: House,
  points: readonly string[],
  entered: Entered,
  flaws: Flaws,
): TubSetup {
  const place = { ...house.place };
  if (entered === 'nothing') return { id, place };
  const chance = new Chance(seed, 'entered');
  const wrong = chance.oneOf([chance.between(0.55, 0.75), chance.between(1.35, 1.7)]);
  const { array, loop, pump, tub, controller, backup } = house;
  return {
    id,
    name: `Simulated tub ${id}`,
    place,
    tub: {
      litres: tub.litres,
      seats: tub.seats,
      targetC: backup.targetC,
      limitC: controller.limitC,
      lossWPerK: tub.uaWPerK,
    },
    collectors: {
      count: array.count,
      areaM2: array.areaM2,
      tiltDeg: array.tiltDeg,
      azimuthDeg: array.azimuthDeg,
      eta0: array.eta0,
      a1: array.a1,
      a2: array.a2,
    },
    loop: {
      pipeMetres: 2 * loop.metresEachWay,
      flowLPerMin: round(entered === 'wrong-flow' ? pump.lPerMin * wrong : pump.lPerMin, 1),
      flowSensorAt: loop.flowSensorAt,
      pairAt: loop.pairAt,
      fluid: 'tub-water',
      freeze: controller.freezeRun ? 'recirculates' : 'none',
    },
    pump: {
      watts: pump.watts,
      standbyWatts: pump.standbyWatts,
      stateIs: pump.stateIs,
      supply: pump.supply,
    },
    controller: { switchOnK: controller.onK, switchOffK: controller.offK },
    backup: enteredBackup(house),
    evening: { at: '20:00' },
    tariff: { currency: 'EUR', otherwise: 0.3, bands: [nightRate] },
    carbon: { gPerKwh: 300 },
    ...enteredSensors(house, points, flaws),
    boards: boardsOf(house, points),
    longestGapMin: gapsOf(house, points),
  };
}

const everyDay = [1, 2, 3, 4, 5, 6, 7];
const nightRate = { days: everyDay, from: '23:00', to: '06:00', price: 0.2 };

function enteredBackup({ backup }: House): TubSetup['backup'] {
  const { kind, watts, cop7, spans } = backup;
  const efficiency = kind === 'heat-pump' ? cop7 : 1;
  return {
    kind,
    efficiency,
    watts: Math.round(watts / efficiency),
    // none: always, which is what is not said
    ...(spans.length > 0 && {
      hours: spans.map(({ from, to }) => ({
        days: everyDay,
        from: onTheWall(from),
        to: onTheWall(to),
      })),
    }),
  };
}

/** The classes, and for a zeroed pair the correction that the cup brought. */
function enteredSensors(
  house: House,
  points: readonly string[],
  flaws: Flaws,
): Pick<TubSetup, 'sensors' | 'corrections'> {
  const { instruments } = house;
  const sensors: NonNullable<TubSetup['sensors']> = {};
  for (const point of points) {
    const thermometer = thermometerAt(point, house);
    if (thermometer) sensors[point] = { class: thermometer.class };
    else if (point === 'pump/flow' || point === 'pump/volume') {
      sensors[point] = { class: instruments.meter.class };
    }
  }
  const pair = sensors['collector/inlet'] && sensors['collector/outlet'];
  if (!pair || !instruments.zeroed || !flaws.has('offset')) return { sensors };
  const zeroedOn = '2026-01-04';
  Object.assign(sensors['collector/inlet']!, { zeroedOn });
  Object.assign(sensors['collector/outlet']!, { zeroedOn });
  const { inlet, outlet, zeroingK } = instruments;
  const apart =
    outlet.offsetShare * classLimitK(outlet.class, CUP_C) -
    inlet.offsetShare * classLimitK(inlet.class, CUP_C);
  return { sensors, corrections: { 'collector/inlet': { offset: round(apart + zeroingK, 2) } } };
}

const CUP_C = 38; // the water that both were held in

const boardsOf = (house: House, points: readonly string[]): TubSetup['boards'] =>
  house.instruments.boards
    .map(({ name, points: held }) => ({
      name,
      points: held.filter((point) => points.includes(point)),
    }))
    .filter(({ points: held }) => held.length > 0);

/** A board that sends on change may say nothing for as long as its heartbeat. */
function gapsOf(house: House, points: readonly string[]): TubSetup['longestGapMin'] {
  const gaps: Record<string, number> = {};
  for (const board of house.instruments.boards) {
    if (!board.onChange) continue;
    for (const point of board.points) {
      const temperature = thermometerAt(point, house) !== null;
      if (temperature && points.includes(point)) gaps[point] = board.heartbeatMin + 5;
    }
  }
  return gaps;
}

function onTheWall(minute: MinuteSpan['from']): string {
  const [hours, minutes] = [Math.floor((minute % 1440) / 60), minute % 60];
  return `${String(hours).padStart(2, '0')}:${String(minutes).padStart(2, '0')}`;
}

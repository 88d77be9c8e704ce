import { type Fault, ramp, simple } from './fault.ts';

const flow = { points: ['pump/flow'] };
const either = { points: ['pump/flow', 'pump/volume'] };

/** What goes wrong with the flow meter. */
export const meterFaults: readonly Fault[] = [
  simple(
    'meter-stands',
    ['flow-sensor-at-zero'],
    ({ meter }) => {
      meter.gain = 0;
    },
    either,
  ),
  {
    name: 'meter-holds',
    raises: ['flow-while-off', 'frozen-reading'],
    needs: flow,
    begin() {
      let held: number | null = null;
      return ({ says }) => {
        says.set('pump/flow', (value) => {
          if (held === null && value > 0) held = value;
          return held ?? value;
        });
      };
    },
  },
  {
    name: 'meter-noise',
    raises: ['flow-while-off', 'flow-too-high'],
    needs: either,
    begin: ({ chance }) => {
      let adds = 1;
      return ({ meter }) => {
        if (chance.happens(0.02)) adds = chance.between(0.5, 3.5);
        meter.addsLPerMin = adds;
      };
    },
  },
  simple(
    'meter-wears',
    ['flow-sensor-drifting'],
    ({ meter }, { days }) => {
      meter.gain = ramp(days, 12, 0.72);
    },
    either,
  ),
  simple(
    'false-pulses',
    ['flow-too-high'],
    ({ meter }) => {
      meter.gain = 2;
    },
    either,
  ),
  simple(
    'pulse-factor',
    ['flow-too-high'],
    ({ meter }) => {
      meter.gain = 60;
    },
    either,
  ),
];

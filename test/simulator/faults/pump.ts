import { type Fault, ramp, simple } from './fault.ts';

const thrown = ['pump-not-running', 'collector-stagnating'] as const;

/** What goes wrong with pump, controller and water. */
export const pumpFaults: readonly Fault[] = [
  simple('pump-dead', thrown, ({ pump }) => {
    pump.dead = true;
  }),
  simple('controller-mute', thrown, ({ controller }) => {
    controller.mute = true;
  }),
  simple('pump-stuck-on', ['pump-on-at-night'], ({ pump }) => {
    pump.forcedOn = true;
  }),
  simple('air-lock', ['running-without-flow', 'pump-power-low'], ({ pump }) => {
    [pump.moves, pump.draws] = [0, 0.42];
  }),
  simple('closed-valve', ['pump-power-low', 'running-without-flow'], ({ pump }) => {
    [pump.moves, pump.draws] = [0, 0.57];
  }),
  simple('blocked-rotor', ['pump-power-high', 'running-without-flow'], ({ pump }) => {
    [pump.moves, pump.draws] = [0, 1.7];
  }),
  simple('clogging', ['flow-falling'], ({ pump }, { days }) => {
    pump.moves = ramp(days, 10, 0.45);
    pump.draws = ramp(days, 10, 0.85);
  }),
  simple('trickle', ['hot-water-to-tub', 'flow-falling'], ({ pump }) => {
    pump.moves = 0.1;
  }),
  simple('low-voltage', ['pump-power-low', 'flow-falling'], ({ pump }) => {
    // At 0.72 of its speed: power goes with its square at least, water with it.
    [pump.moves, pump.draws] = [0.72, 0.5];
  }),
  {
    name: 'tight-differences',
    raises: ['short-cycling'],
    begin({ house: { array, pump } }) {
      // What the water gains in good sun: a pump that must stop below nearly that much stops and starts.
      const sunW = array.count * array.areaM2 * array.eta0 * 700;
      const gainsK = sunW / ((pump.lPerMin / 60) * 4180);
      return ({ controller }) => {
        [controller.onK, controller.offK] = [gainsK + 0.5, gainsK];
      };
    },
  },
  simple('wide-on-difference', ['late-start', 'pump-not-running'], ({ controller }) => {
    controller.onK = 22;
  }),
  simple('late-off', ['heat-thrown-away'], ({ controller }) => {
    controller.offK = -6;
  }),
  simple('controller-sensor-off', ['controller-disagrees'], ({ controller }) => {
    controller.collectorK = -7;
  }),
  // by its own sensor the collectors never get cold: it runs on after the sun, and through the night
  simple('controller-sensor-high', ['heat-thrown-away', 'pump-on-at-night'], ({ controller }) => {
    controller.collectorK = 7;
  }),
  simple('limit-missing', ['tub-overheated-by-sun', 'water-too-hot'], ({ controller }) => {
    controller.limitK = 10;
  }),
  simple('backwards-at-night', ['night-back-flow'], (trouble) => {
    trouble.siphonLPerMin = 0.15;
  }),
];

import { type Fault, ramp, simple } from './fault.ts';

const heater = { points: ['backup/power', 'backup/energy'] };

/** What goes wrong with collectors, pipes, tub and backup. */
export const tubFaults: readonly Fault[] = [
  simple('dirt', ['array-under-performing'], (trouble, { days }) => {
    trouble.light = ramp(days, 3, 0.7);
  }),
  simple('big-array', ['limit-reached-often'], (trouble) => {
    trouble.light = 2;
  }),
  simple('small-array', ['array-too-small'], (trouble) => {
    trouble.light = 0.2;
  }),
  {
    name: 'collector-dead',
    raises: ['one-collector-dead', 'array-under-performing'],
    begin: ({ house, chance }) => {
      const dead = chance.whole(1, house.array.count);
      return (trouble) => {
        trouble.deadCollector = dead;
      };
    },
  },
  simple('pipes-bare', ['pipes-losing-heat', 'array-under-performing'], (trouble) => {
    trouble.pipeLoss = 5;
  }),
  simple('cover-soaked', ['tub-loss-grown'], (trouble) => {
    trouble.tubLoss = 1.75;
  }),
  simple('cover-off', ['cover-left-off'], (trouble) => {
    trouble.coverOff = true;
  }),
  simple('leak', ['water-level-falling'], (trouble) => {
    trouble.leakLPerH = 1.2;
  }),
  simple('cold-snap', ['freeze-danger'], (trouble) => {
    trouble.airK = -16;
  }),
  simple(
    'element-dead',
    ['backup-without-warming'],
    ({ backup }) => {
      backup.draws = false;
    },
    heater,
  ),
  simple(
    'backup-heats-nothing',
    ['backup-without-warming'],
    ({ backup }) => {
      backup.heats = false;
    },
    heater,
  ),
  simple(
    'backup-never-stops',
    ['backup-without-warming', 'water-too-hot'],
    ({ backup }) => {
      backup.neverStops = true;
    },
    heater,
  ),
  simple(
    'thermostat-high',
    ['water-too-hot', 'backup-without-warming'],
    ({ backup }) => {
      backup.targetK = 4.5;
    },
    heater,
  ),
  simple('backup-before-sun', ['backup-fights-sun'], ({ backup }) => {
    backup.targetK = 0.6;
    backup.spans = [{ from: 3 * 60, to: 10 * 60 }];
  }),
];

import type { HandoverPageWords, SetupLine } from './handover-words.ts';

const backups = {
  electric: 'electric heater',
  'heat-pump': 'heat pump',
  gas: 'gas heater',
  none: 'none',
};
const pumpStates = {
  turning: 'whether the pump turns',
  powered: 'whether the pump has power',
  asked: 'what the controller asks for',
  none: 'nothing',
};
const freezing = {
  none: 'none told',
  'drain-back': 'the loop drains back',
  recirculates: 'warm water goes round',
};

/** What the page in a hand-over file says, in English. */
export const enHandoverPage: HandoverPageWords = {
  title: (name) => `${name}: handed over`,
  span: ({ from, to }) => (from === to ? from : `${from} to ${to}`),
  made: (at, timeZone) => `Made ${at}. All times are those of the tub (${timeZone}).`,
  holdsTitle: 'What this file holds',
  holds: [
    'readings.csv: every reading of these days, of this tub.',
    'days, alerts and log, each as JSON for programs and as CSV for spreadsheets.',
    'setup.json and versions.json: what was said of the tub and its loop, and when. The place is in it, since the sun is worked out from it.',
    'log.json has what was told earlier and still counts, such as a new cover, without its remarks.',
    'known.json: what the days around told of the tub, on which estimates rest.',
  ],
  keepsBack:
    'No password, no address that notices go to, no paired phone and no other tub is in it.',
  warmUp: (from) =>
    `Readings begin on ${from}, to warm up with: what ran or held before these days is known by them. They make no days of their own.`,
  again: ({ tub }) =>
    `“sunsteep replay” takes this file as it is and works its days out again, for the tub ${tub}.`,
  chart: 'Temperatures',
  chartSays: 'Lowest to highest within each stretch; where nothing was heard there is a gap.',
  noChart: 'No temperature was heard in these days.',
  pumpRuns: 'Pump runs',
  days: 'Days',
  noDays: 'There is no day with data.',
  day: 'Day',
  columns: {
    gain: 'Heat from the sun (kWh)',
    useful: 'Of use (kWh)',
    saved: 'Saved (kWh)',
    water: 'Water (°C)',
    pumpHours: 'Pump (h)',
    coverage: 'Heard (%)',
  },
  range: (low, high) => `${low} to ${high}`,
  basis: { measured: 'measured', estimated: 'estimated', mixed: 'partly estimated' },
  alerts: 'Alerts',
  noAlerts: 'None in these days.',
  severity: { danger: 'Danger', act: 'Act', look: 'Look', note: 'Note' },
  stands: (since) => `Since ${since}; it stood when this was made.`,
  stood: ({ from, until }) => `From ${from} until ${until}.`,
  seen: (at) => `Seen ${at}.`,
  checks: 'What to check',
  log: 'Log',
  noLog: 'Nothing was entered for these days.',
  setup: 'Set-up',
  setupSays: 'As it was in force at the end of these days, with what a bucket test told.',
  assumed: 'assumed',
  setupLines(settings, said, say) {
    const { place, tub, collectors, loop, pump, controller, backup } = settings;
    const line = (part: string, key: string, what: string, is: string): SetupLine => ({
      what,
      is,
      assumed: !said(part, key),
    });
    const degrees = (deg: number) => `${say.number(deg, 0)}°`;
    return [
      line(
        'place',
        'latitude',
        'Place',
        `latitude ${say.number(place.latitude, 3)}, longitude ${say.number(place.longitude, 3)}`,
      ),
      line('place', 'elevationM', 'Above the sea', `${say.number(place.elevationM, 0)} m`),
      line('tub', 'litres', 'Water in the tub', say.volume(tub.litres)),
      line('tub', 'seats', 'Seats', say.number(tub.seats, 0)),
      line('tub', 'targetC', 'Wanted warmth', say.temperature(tub.targetC)),
      line('tub', 'limitC', 'The controller stops at', say.temperature(tub.limitC)),
      line('tub', 'lossWPerK', 'Heat that the tub loses', `${say.number(tub.lossWPerK, 1)} W/K`),
      line('collectors', 'count', 'Collectors', say.number(collectors.count, 0)),
      line('collectors', 'areaM2', 'Area of one', `${say.number(collectors.areaM2, 2)} m²`),
      line('collectors', 'tiltDeg', 'Tilt', degrees(collectors.tiltDeg)),
      line(
        'collectors',
        'azimuthDeg',
        'They face, clockwise from north',
        degrees(collectors.azimuthDeg),
      ),
      line('collectors', 'eta0', 'Efficiency without losses', say.number(collectors.eta0, 3)),
      line('collectors', 'a1', 'Their loss', `${say.number(collectors.a1, 2)} W/(m²·K)`),
      line('collectors', 'a2', 'Their loss when hot', `${say.number(collectors.a2, 3)} W/(m²·K²)`),
      line('loop', 'pipeMetres', 'Pipe, both ways together', `${say.number(loop.pipeMetres, 0)} m`),
      line('loop', 'flowLPerMin', 'Flow', say.flow(loop.flowLPerMin)),
      line('loop', 'flowSensorAt', 'Flow sensor at the', loop.flowSensorAt),
      line('loop', 'pairAt', 'Pair of thermometers at the', loop.pairAt),
      line(
        'loop',
        'fluid',
        'In the loop',
        loop.fluid === 'antifreeze' ? 'antifreeze' : 'the tub’s water',
      ),
      line('loop', 'freeze', 'Against frost', freezing[loop.freeze]),
      line('pump', 'watts', 'Pump draws', `${say.number(pump.watts, 0)} W`),
      line(
        'pump',
        'standbyWatts',
        'At rest the controls draw',
        `${say.number(pump.standbyWatts, 0)} W`,
      ),
      line('pump', 'stateIs', 'The pump’s point tells', pumpStates[pump.stateIs]),
      line(
        'controller',
        'switchOnK',
        'Controller starts at',
        `${say.number(controller.switchOnK, 1)} K`,
      ),
      line(
        'controller',
        'switchOffK',
        'Controller stops at',
        `${say.number(controller.switchOffK, 1)} K`,
      ),
      line('backup', 'kind', 'Backup', backups[backup.kind]),
      line('backup', 'watts', 'Backup gives', say.power(backup.watts)),
    ];
  },
};

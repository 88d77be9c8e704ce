import { collectorNumber, pointType, unitOf } from '../points.ts';
import { HOUR, MINUTE } from '../readings.ts';
import { bathingLimitC } from '../state.ts';
import type { Speaker } from './speaker.ts';
import type { Aged, Clocks, Gain, Words } from './words.ts';

/** Everything that the program says, in English. */

const DAY = 24 * HOUR;

function duration(ms: number): string {
  if (ms < MINUTE) return `${Math.max(0, Math.floor(ms / 1000))} s`;
  if (ms < HOUR) return `${Math.floor(ms / MINUTE)} min`;
  if (ms < 2 * DAY) {
    const minutes = Math.floor((ms % HOUR) / MINUTE);
    return `${Math.floor(ms / HOUR)} h${minutes === 0 ? '' : ` ${minutes} min`}`;
  }
  return `${Math.floor(ms / DAY)} days`;
}

const ago = (ms: number) => `${duration(ms)} ago`;

/** `half a degree`, `0.3 degrees`; null where it rounds to nothing. */
function degrees(deltaK: number, say: Speaker): string | null {
  const tenths = Math.round(Math.abs(say.difference(deltaK)) * 10);
  if (tenths === 0) return null;
  if (tenths === 5) return 'half a degree';
  return tenths === 10 ? 'one degree' : `${say.number(tenths / 10, 1)} degrees`;
}

function aged({ celsius, ageMs }: Aged, say: Speaker, decimals = 1): string {
  const temperature = say.temperature(celsius, decimals);
  return ageMs === null ? temperature : `${temperature} (${ago(ageMs)})`;
}

function course(tubKPerH: number | null, say: Speaker): string {
  if (tubKPerH === null) return '';
  const change = degrees(tubKPerH, say);
  if (change === null) return 'The water holds its temperature.';
  return `The water ${tubKPerH > 0 ? 'gains' : 'loses'} ${change} an hour.`;
}

const sentences = (...parts: (string | null | false)[]) => parts.filter(Boolean).join(' ');

function putIn(gain: Gain, when: string, say: Speaker): string {
  if (gain.kwh === null) return `What the sun put in ${when} is not known.`;
  if (gain.kwh < 0.05) return `The sun put in nothing ${when}.`;
  const about = gain.basis === 'measured' ? '' : 'about ';
  return `The sun put in ${about}${say.energy(gain.kwh)} ${when}.`;
}

const counts = ['No', 'One', 'Two', 'Three', 'Four', 'Five', 'Six', 'Seven', 'Eight', 'Nine'];

function list(parts: string[]): string {
  if (parts.length < 2) return parts.join('');
  return `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
}

function warmth(lowC: number, highC: number, say: Speaker): string {
  const [low, high] = say.temperatureRange(lowC, highC);
  return `${low} to ${high} °${say.manner.temperature}`;
}

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

const pointNames: Record<string, string> = {
  'tub/temperature': 'Water in the tub',
  'tub/cover': 'Cover',
  'tub/level': 'Water level',
  'collector/temperature': 'Hot end of the collectors',
  'collector/inlet': 'To the collectors',
  'collector/outlet': 'Back to the tub',
  'collector/irradiance': 'Sun on the collectors',
  'pump/running': 'Pump',
  'pump/commanded': 'Controller asks for the pump',
  'pump/power': 'Power of the pump',
  'pump/voltage': 'Voltage at the pump',
  'pump/flow': 'Flow',
  'pump/volume': 'Water that went round',
  'backup/power': 'Power of the backup',
  'backup/setpoint': 'Backup heats to',
  'backup/energy': 'Energy of the backup',
  'filter/running': 'Filter pump',
  'outdoor/temperature': 'Outdoor air',
};

const flags: Record<string, [off: string, on: string]> = {
  'tub/cover': ['open', 'shut'],
  'tub/level': ['low', 'enough'],
};

const missingNames: Record<string, string> = {
  place: 'where the tub stands, and its time zone',
  'place/latitude': 'the latitude of the tub',
  'place/longitude': 'the longitude of the tub',
  'place/timeZone': 'the time zone of the tub',
  'tub/temperature': 'how warm the water is',
  'collector/temperature': 'how hot the collectors are',
  'pump/running': 'whether the pump runs',
};

function pointName(point: string): string {
  const nth = collectorNumber(point);
  return nth === null ? (pointNames[point] ?? point) : `Collector ${nth}`;
}

function pointValue(point: string, value: number, say: Speaker): string {
  const kind = pointType(point)?.kind;
  if (kind === 'flag') return (flags[point] ?? ['off', 'on'])[value > 0 ? 1 : 0];
  if (kind === 'temperature') return say.temperature(value);
  if (kind === 'flow') return say.flow(value);
  if (kind === 'volume') return say.volume(value);
  if (kind === 'power') return say.power(value);
  return `${say.number(value, kind === 'irradiance' ? 0 : 1)} ${kind ? unitOf[kind] : ''}`.trim();
}

const states: Words['states'] = {
  danger({ tub, says, since, first }, say) {
    const water = tub === null ? '.' : `. The water is at ${aged(tub, say)}.`;
    return {
      sentence: says ?? `Do not get in${water}`,
      detail: sentences(
        since !== null && `Since ${since}.`,
        first !== null ? `First: ${first}` : 'Nobody in, and the backup off at its own control.',
      ),
    };
  },
  noReading: {
    sentence: 'Nothing has spoken yet.',
    detail: 'Give your sensor board these, and it shows up here by itself.',
  },
  silent: ({ since }) => ({
    sentence: since === null ? 'Nothing is heard.' : `Nothing heard since ${since}.`,
    detail:
      'What stands below is from then. Check that the sensor board has power and is in reach of the ' +
      'network.',
  }),
  noSetup: ({ missing }) => ({
    sentence:
      `Your sensors are being heard. ${counts[missing.length] ?? missing.length} ` +
      `${missing.length === 1 ? 'thing is' : 'things are'} missing before heat can be worked out.`,
    detail: `${capital(list(missing))}.`,
  }),
  drained: ({ since }) => ({
    sentence: `Drained for the winter since ${since}.`,
    detail: 'Only the sensors are watched.',
  }),
  heating: ({ powerW, estimated, tubKPerH }, say) => ({
    sentence: 'The sun is heating your tub.',
    detail: sentences(
      `${say.power(powerW)} is going in${estimated ? ', estimated' : ''}.`,
      course(tubKPerH, say),
    ),
  }),
  runningWithoutHeat({ powerW, forMs, usual, dark }, say) {
    const told = forMs === null ? null : `For ${duration(forMs)}`;
    const losing = powerW <= -100 && `${say.power(-powerW)} is leaving the tub.`;
    const verdict = usual
      ? 'usual when a cloud passes or the evening comes.'
      : dark
        ? 'not usual with the sun down.'
        : 'not usual. Does water come back into the tub?';
    return {
      sentence: 'The pump is running, but no heat arrives.',
      detail: sentences(told === null ? capital(verdict) : `${told}: ${verdict}`, losing),
    };
  },
  pumpRunning: ({ powerKnown, forMs }) => ({
    sentence: powerKnown ? 'The pump has just started.' : 'The pump is running.',
    detail: powerKnown
      ? 'The first water comes from cold pipes; in a few minutes the heat can be told.'
      : sentences(
          forMs !== null && `For ${duration(forMs)}.`,
          'How much heat arrives is not known just now.',
        ),
  }),
  warmEnough({ tub, limitC, resting }, say) {
    const limit = limitC === null ? 'its limit' : say.temperature(limitC);
    return {
      sentence: 'Your tub is warm enough.',
      detail: sentences(
        tub !== null && `Water ${aged(tub, say)}.`,
        resting && `The pump rests so that the water stays under ${limit}.`,
      ),
    };
  },
  night({ today, gain, tub, tubKPerH, usualKPerH }, say) {
    const usual = usualKPerH !== null && degrees(usualKPerH, say);
    const change = tubKPerH === null ? null : (degrees(tubKPerH, say) ?? 'nothing');
    const verb = (tubKPerH ?? 0) > 0 ? 'gaining' : 'losing';
    return {
      sentence: putIn(gain, today ? 'today' : 'yesterday', say),
      detail:
        tub === null
          ? 'How warm the water is now is not known.'
          : aged(tub, say) +
            (change ? `, ${verb} ${change} an hour` : '') +
            (usual ? `; a usual night is ${usual}.` : '.'),
    };
  },
  waiting: ({ collector, tub, switchOnK }, say) => ({
    sentence: 'Waiting for sun.',
    detail:
      `Collector ${aged(collector, say, 0)}, water ${aged(tub, say)}: the pump starts when the ` +
      `collector is ${say.number(say.difference(switchOnK), 0)} degrees warmer.`,
  }),
  idle({ pumpOn, hot, collector, tub }, say) {
    const parts = [
      collector && `the collector stands at ${aged(collector, say, 0)}`,
      tub && `the water ${collector ? 'at' : 'is at'} ${aged(tub, say)}`,
    ].filter((part) => part !== null);
    const stands = parts.length > 0 && `${capital(parts.join(', '))}.`;
    if (hot) return { sentence: 'No heat is reaching the tub.', detail: sentences(stands) };
    return {
      sentence: pumpOn === false ? 'The pump is resting.' : 'Your sensors are being heard.',
      detail: sentences(
        stands,
        pumpOn === null &&
          'Whether the pump runs is not heard; a contact or a power meter at the pump would tell.',
        collector === null &&
          'The temperature of the collectors is not heard; a sensor at their hot end would tell.',
        tub === null &&
          'The temperature of the water is not heard; a sensor in the tub would tell.',
      ),
    };
  },
  tooHot: ({ tub, besides }, say) => ({
    sentence: `Too hot to get in: ${aged(tub, say)}.`,
    detail: `${besides.sentence} ${besides.detail}`,
  }),
  notLive: ({ since }) => ({
    sentence: `No word from Sunsteep since ${since}.`,
    detail:
      'What stands below is from then. Is this phone on your network, and does the program run?',
  }),
};

const clocks = ([from, to]: Clocks) => `${from} to ${to}`;

export const en: Words = {
  language: 'en',
  frame: {
    program: 'Sunsteep',
    today: 'Today',
    alerts: 'Alerts',
    months: 'Months',
    traces: 'Traces',
    more: 'More',
    tubs: 'Your tubs',
    tubsDetail: 'Which one do you want to look at?',
    listening: 'listening',
    loading: 'One moment…',
    demo: 'A demonstration: this tub is simulated and its figures are invented.',
    unreachable: {
      sentence: 'Sunsteep does not answer.',
      detail:
        'Is this phone on your network, and does the program run? This page tries again by itself.',
    },
    notFound: { sentence: 'There is no such page.', detail: '' },
    partMissing: {
      sentence: 'This part could not be fetched.',
      detail: 'It is tried again as soon as Sunsteep answers.',
    },
    toToday: 'Go to Today',
    mainNavigation: 'Screens',
    heard: (ageMs) => `heard ${ago(ageMs)}`,
    heardNever: 'not heard yet',
    notLive: (since) => `not live since ${since}`,
    workingOut: 'Past days are being worked out again just now; their figures may still move.',
  },
  time: { duration, ago },
  states,
  alerts: {
    severity: {
      danger: 'Danger',
      act: 'Act today',
      look: 'When you can',
      note: 'For your notes',
    },
    since: (since) => `Since ${since}.`,
    cost: (kwh, say) => `About ${say.energy(kwh)} of sun has passed by.`,
    unknownSince: (since) => `Since ${since} the sensors cannot tell whether it still stands.`,
    caution: 'Caution',
    whatToCheck: 'What to check',
  },
  days: {
    past: ({ date, yesterday, gain }, say) =>
      putIn(gain, yesterday ? 'yesterday' : `on ${date}`, say),
    pastDetail({ date, pumpMs, litres }, say) {
      const round = litres === null ? '' : ` and moved ${say.volume(litres)}`;
      const pump =
        pumpMs !== null &&
        (pumpMs < MINUTE
          ? 'The pump did not run.'
          : `The pump ran for ${duration(pumpMs)}${round}.`);
      return sentences(date !== null && `${date}.`, pump);
    },
    nothingHeard: (date) => ({
      sentence: `Nothing was heard on ${date}.`,
      detail: 'So nothing can be said about that day.',
    }),
    notYet: (date) => ({ sentence: `${date} has not come yet.`, detail: '' }),
    before: 'The day before',
    after: 'The day after',
    yesterday: 'Yesterday',
    steps: 'Other days',
  },
  facts: {
    sunToday: 'From the sun today',
    sunThatDay: 'From the sun that day',
    basis: {
      measured: 'measured',
      estimated: 'estimated',
      mixed: 'partly measured, partly estimated',
    },
    between: ([low, high]) => `between ${low} and ${high}`,
    sunNotKnown: 'not known',
    sunUnknown:
      'What is needed to work it out has not been heard: the water, the collector and the pump.',
    howToMeasure({ flow, pair }) {
      const lacking = list([
        ...(flow ? [] : ['a flow sensor']),
        ...(pair ? [] : ['one temperature on each pipe of the loop']),
      ]);
      return lacking === '' ? null : `${capital(lacking)} would measure it.`;
    },
    lost: (kwh, say) => `The loop took ${say.energy(kwh)} out of the tub again.`,
    coverage: (share, over, say) =>
      `Heard for ${say.percent(share)} of the day${over ? '' : ' so far'}; nothing is counted for the rest.`,
    money(sum, currency, over, say) {
      const soFar = over ? '' : ' so far';
      const amount = say.money(Math.abs(sum), currency);
      if (amount === say.money(0, currency)) return `Nothing saved on backup heat${soFar}`;
      return sum > 0
        ? `${amount} of backup heat not bought${soFar}`
        : `Nothing saved on backup heat${soFar}: the loop’s electricity cost ${amount} more`;
    },
    notCounted: ({ from, to, why }) => `Not counted from ${from} to ${to}: ${why}`,
    waterNow: 'Water now',
    waterThatDay: 'Water that day',
    belowLimit: (say) => `below the ${say.temperature(bathingLimitC, 0)} limit`,
    aboveLimit: (say) => `above the ${say.temperature(bathingLimitC, 0)} limit`,
    measured: (ageMs) => `measured ${ago(ageMs)}`,
    late: (ageMs) => `that was ${ago(ageMs)}, and nothing newer has come`,
    unknown: 'unknown: use a thermometer',
    unknownSince: (since) => `The tub's sensor was last heard at ${since}.`,
    unknownTime: (tubC, say) =>
      `The broker had kept ${say.temperature(tubC)} from an earlier time that nobody knows.`,
    waterNotHeard: 'not heard',
    noTubSensor: 'No sensor in the tub has been heard; one in its water would tell.',
    tooHot:
      'Too hot for anyone: nobody should get in. Children and pregnant people are at risk first. ' +
      'Stir, and measure with a thermometer of its own.',
    fromTo: (lowC, highC, say) => `${say.temperature(lowC)} to ${say.temperature(highC)}`,
    lowestHighest: 'lowest and highest',
  },
  evening: {
    label: (clock, when) => `${capital(when)} at ${clock}`,
    thisEvening: 'This evening',
    range: warmth,
    ifSkyStays: 'if the sky stays as it is',
    asUsual: 'if all goes as usual',
    foretold: (ageMs) => `as foretold ${ago(ageMs)}`,
    backup: ({ start, targetC, kwh, money }, say) =>
      `To have ${say.temperature(targetC, 0)} by then, the backup must start ` +
      (start === null ? 'now' : `by ${start}`) +
      (money === null ? ` and takes ${say.energy(kwh)}.` : ` and costs ${money}.`),
    cheaper: ({ start, money }) =>
      `Started ${start === null ? 'now' : `at ${start}`}, it costs least: ${money}.`,
    dayBefore: (clock) => `${clock} today`,
    warmEnough: 'The backup is not needed for that.',
    notInTime: (targetC, say) =>
      `The backup cannot make it ${say.temperature(targetC, 0)} by then in the hours that it has.`,
    noBackup: (targetC, say) =>
      `There is no backup to make it ${say.temperature(targetC, 0)} by then.`,
    mayBeTooHot: (say) =>
      `The water may be above ${say.temperature(bathingLimitC, 0)} by then, which is too hot for a ` +
      'bath: nobody should get in before a thermometer shows less.',
    unknown: 'not known just now',
    failed: 'How warm the tub will be cannot be had from Sunsteep just now.',
    tooOld: (since) => `What was last foretold is from ${since}, which is too long ago.`,
    missing: {
      'no-place': 'How warm the tub will be cannot be said before its place is known.',
      'not-heard': 'How warm the tub will be cannot be said: its water was not heard just now.',
    },
  },
  chart: {
    title: 'How did the heat and the water go?',
    heat: 'heat from the sun',
    lost: 'heat lost by the loop',
    water: 'water',
    wanted: (targetC, say) => `wanted, ${say.temperature(targetC, 0)}`,
    night: 'night',
    expected: (clock) => `water expected at ${clock}`,
    estimated: 'hatched: estimated',
    waterNow: 'water now',
    heatFrom: ({ span, peakW, peakAt }, say) =>
      `Heat came from ${clocks(span)}, most around ${peakAt} with ${say.power(peakW)}.`,
    noHeat: 'No heat came.',
    lostSum: (kwh, say) => `The loop took ${say.energy(kwh)} out of the tub.`,
    waterWent: ({ fromC, toC }, say) =>
      `The water went from ${say.temperature(fromC)} to ${say.temperature(toC)}.`,
    noWater: 'How warm the water was is not known.',
    gaps: (spans) => `Nothing was heard from ${list(spans.map(clocks))}.`,
    expects: ({ clock, lowC, highC }, say) =>
      `At ${clock} the water is expected at ${warmth(lowC, highC, say)}.`,
    loading: 'The chart of the day is being fetched.',
    failed: 'The chart of the day cannot be had just now.',
    table: 'The same as a table',
    hour: 'Hour from',
    heatColumn: 'Heat, kWh',
    lostColumn: 'Lost, kWh',
    waterColumn: (say) => `Water, °${say.manner.temperature}`,
    notHeard: 'not heard',
    expectedRow: (clock) => `expected at ${clock}`,
    about: (figure) => `about ${figure}`,
  },
  points: {
    name: pointName,
    value: pointValue,
    missing: (path) => missingNames[path] ?? pointName(path),
  },
  connect: {
    broker: 'Broker',
    address: (host, port) => `${host}, port ${port}`,
    tls: (port) => `with TLS: port ${port}`,
    userAndPassword: 'User and password',
    hidden: 'hidden',
    show: 'show',
    hide: 'hide',
    topics: 'Topics, payload a plain number',
    tub: 'my-tub',
    oneOrZero: 'The pump’s is 1 or 0.',
    tubNameHint: 'In place of my-tub, a name of your own: small letters, digits and hyphens.',
    ownTopics:
      'Does your board speak on topics of its own? Then listen to everything for ten minutes, and say what ' +
      'is what.',
    listen: 'Listen to everything',
    laptop: 'Try from a laptop',
    laptopHint:
      'With the command-line client of an MQTT broker installed, this line speaks like a sensor:',
    userPlace: 'USER',
    passwordPlace: 'PASSWORD',
    outside: 'Your own broker',
    outsideDetail:
      'Sunsteep listens there. Give your sensor board this address, with a user and password that you ' +
      'have set up on that broker.',
    viewer: 'This phone may look, but not see the password. Ask whoever set Sunsteep up.',
    refused: ({ address, user, why, ageMs }) =>
      `a login as “${user}” from ${address}: ${why}, ${ago(ageMs)}`,
    refusedTitle: 'Refused so far',
    failed: 'The address of the broker cannot be had just now; this page tries again by itself.',
  },
  place: {
    heardTitle: 'Heard so far',
    missingTitle: 'Missing',
    unknownTime: 'from an unknown time',
    title: 'Where does the tub stand?',
    why:
      'The sun is worked out from the place, and days begin at its midnight. A town’s coordinates from ' +
      'any map are exact enough; they stay on your own machine.',
    useLocation: 'I am at the tub: use this phone’s location',
    locating: 'Looking for the location…',
    locationRefused: 'The phone did not give its location. Type it in, please.',
    save: 'Save the place',
    saving: 'Saving…',
    viewer: 'This phone may look, but not set up. Ask whoever set Sunsteep up.',
  },
  pairing: {
    pairing: { sentence: 'Pairing this phone…', detail: '' },
    expired: {
      sentence: 'This link is no longer good.',
      detail: 'A link works once, and for ten minutes. Make a new one:',
    },
    tooMany: {
      sentence: 'Too many tries.',
      detail: 'Wait a minute, then open the link again.',
    },
    refused: (why) => ({
      sentence: 'Pairing was refused; the link may still be good.',
      detail: why,
    }),
    failed: {
      sentence: 'Pairing did not work.',
      detail: 'Sunsteep did not answer. Open the link again while this phone is on your network.',
    },
    notPaired: {
      sentence: 'This phone is not paired yet.',
      detail: 'Sunsteep shows a tub only to phones that its owner has let in. To pair this one:',
    },
    how: 'npm run sunsteep -- pair',
    where: 'On the computer that runs Sunsteep, in its folder, type',
    once: 'It prints a link and a code to scan. Open it on this phone within ten minutes; it works once.',
  },
  units: {
    title: 'Units',
    temperature: 'Temperature',
    celsius: '°C',
    fahrenheit: '°F',
    volume: 'Volume',
    litres: 'litres',
    gallons: 'gallons',
    clock: 'Clock',
    hours24: '24 hours',
    hours12: '12 hours',
  },
};

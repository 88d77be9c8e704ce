import type { QuestionWords } from './setup-words.ts';

/** Every question of Set-up: what its answer changes, and how to find it. */
export const enQuestions: Record<string, QuestionWords> = {
  '/name': { label: 'Name of the tub', hint: 'What everybody reads. As you call it.' },
  '/place/latitude': {
    label: 'Latitude',
    hint: 'Tells where the sun stands, and so what is night. Any map shows it; negative south of the equator.',
  },
  '/place/longitude': {
    label: 'Longitude',
    hint: 'The same. Negative west of Greenwich.',
  },
  '/place/elevationM': {
    label: 'Height above the sea',
    hint: 'At what temperature water boils there. A map tells; 100 metres more or less do not matter.',
  },
  '/place/timeZone': {
    label: 'Time zone',
    hint: 'When a day begins, and every time that you read.',
  },
  '/tub/litres': {
    label: 'Water in the tub',
    hint: 'How much heat the water holds: what is learned and saved rests on it. On the tub’s plate, or count buckets when you fill it.',
  },
  '/tub/seats': { label: 'Seats', hint: 'How many collectors are assumed.' },
  '/tub/targetC': {
    label: 'Wanted temperature',
    hint: 'What the backup would have held: the dashed line of the day. What you set at the tub’s own control.',
  },
  '/tub/limitC': {
    label: 'The controller lets the water get no warmer than',
    hint: 'Just below it a resting pump means: warm enough. In your controller’s settings. This is no safety device.',
  },
  '/tub/lossWPerK': {
    label: 'Heat that the tub loses',
    hint: 'For each degree that it is warmer than the air. Nights without sun tell it by themselves; leave it unless you have measured it.',
  },
  '/collectors/count': { label: 'Collectors', hint: 'How much heat to expect. Count them.' },
  '/collectors/areaM2': {
    label: 'Area of one, with its frame',
    hint: 'The same. Measure length and breadth in metres and multiply them.',
  },
  '/collectors/tiltDeg': {
    label: 'Slope',
    hint: 'The same. 0 lies flat, 90 stands upright. A phone’s level laid on the glass tells.',
  },
  '/collectors/azimuthDeg': {
    label: 'Direction they look to',
    hint: 'The same. Clockwise from north: east is 90, south 180, west 270. A map with the roof on it tells; a compass is often led astray by metal.',
  },
  '/collectors/eta0': {
    label: 'Efficiency without losses (η₀)',
    hint: 'The same. Data sheet, for the gross area (ISO 9806).',
  },
  '/collectors/a1': { label: 'Heat loss a₁, W/(m²·K)', hint: 'Data sheet, on the same page.' },
  '/collectors/a2': { label: 'Heat loss a₂, W/(m²·K²)', hint: 'Data sheet, on the same page.' },
  '/loop/pipeMetres': {
    label: 'Length of pipe, both ways together',
    hint: 'How much heat the pipes keep back and lose. Pace it out.',
  },
  '/loop/flowLPerMin': {
    label: 'Water that flows while the pump runs',
    hint: 'Heat where no sensor tells the flow. The bucket test tells it; without one it is learned.',
  },
  '/loop/flowSensorAt': {
    label: 'The flow sensor sits in the pipe',
    hint: 'Hot water weighs less: worth about one percent.',
    choices: { inlet: 'towards the collectors', outlet: 'back to the tub' },
  },
  '/loop/pairAt': {
    label: 'The two pipe sensors sit',
    hint: 'At the collectors, what the pipes lose on the way is taken off.',
    choices: { tub: 'near the tub', collectors: 'at the collectors' },
  },
  '/loop/fluid': {
    label: 'In the collectors flows',
    hint: 'Antifreeze carries less heat, and that is less well known. Whoever filled the loop knows.',
    choices: { 'tub-water': 'the tub’s own water', antifreeze: 'antifreeze' },
  },
  '/loop/meterSide': {
    label: 'With a heat exchanger, the sensors sit',
    hint: 'On which side heat is measured. Without one: the tub’s side.',
    choices: { tub: 'on the tub’s side', collector: 'on the collectors’ side' },
  },
  '/loop/freeze': {
    label: 'Against frost',
    hint: 'What is usual on a cold night. In your controller’s settings.',
    choices: {
      none: 'nothing happens by itself',
      'drain-back': 'the collectors run empty when the pump stops',
      recirculates: 'the pump sends warm water through',
    },
  },
  '/controller/switchOnK': {
    label: 'The pump starts when the collectors are warmer by',
    hint: 'The sentence that says what the pump waits for. In your controller’s settings.',
  },
  '/controller/switchOffK': {
    label: 'It stops when they are warmer by less than',
    hint: 'How warm the water is that stays in the pipe. In your controller’s settings.',
  },
  '/pump/stateIs': {
    label: 'What “pump on” means',
    hint: 'How far the sensor is believed. How the board finds it out.',
    choices: {
      turning: 'it turns',
      powered: 'it has power',
      asked: 'the controller asks for it',
      none: 'nothing: other sensors tell',
    },
  },
  '/pump/supply': {
    label: 'The pump’s power comes from',
    hint: 'On a panel of its own its electricity counts as none.',
    choices: { mains: 'the house', 'own-panel': 'a solar panel of its own' },
  },
  '/pump/watts': {
    label: 'Power of the pump',
    hint: 'Its electricity, where no sensor tells it. On the pump’s plate.',
  },
  '/pump/standbyWatts': {
    label: 'Power of the controller while it waits',
    hint: 'Taken off what was saved, all day long. A meter for sockets tells; do not open anything with mains inside.',
  },
  '/backup/kind': {
    label: 'What else heats the tub',
    hint: 'What the sun spares you.',
    choices: {
      electric: 'an electric heater',
      'heat-pump': 'a heat pump',
      gas: 'gas',
      none: 'nothing',
    },
  },
  '/backup/efficiency': {
    label: 'Heat from each kWh that it uses',
    hint: 'What is saved. A heater 1, a heat pump about 3, gas about 0.8. On its plate.',
  },
  '/backup/watts': {
    label: 'Heat that it gives',
    hint: 'When it has to start for the evening. On its plate: 2 kW is 2000 watts.',
  },
  '/backup/hours': {
    label: 'Hours in which it may run',
    hint: 'What it could have given, and when to start it. As you set its clock.',
  },
  '/tariff/currency': {
    label: 'Currency',
    hint: 'The money in which savings are told. Three letters, such as NZD.',
  },
  '/tariff/otherwise': {
    label: 'Price of a kWh',
    hint: 'What the backup’s kWh costs outside the hours below. On your last bill.',
  },
  '/tariff/bands': {
    label: 'Hours with another price',
    hint: 'The first that fits counts. On your last bill.',
  },
  '/carbon/gPerKwh': {
    label: 'CO₂ of a kWh',
    hint: 'Savings in CO₂. Your supplier says it; without it they are not told.',
  },
  '/evening/at': {
    label: 'You usually bathe at',
    hint: 'The hour for which the water is foretold, and when the backup would have to start.',
  },
  '/notify/quiet': {
    label: 'Quiet hours',
    hint: 'Nothing but danger sounds in them; the rest is told afterwards. Twice the same time: there are none. A phone may have its own.',
  },
  '/notify/mail/host': {
    label: 'Mail server',
    hint: 'Takes the mail. Your mail provider’s pages call it SMTP.',
  },
  '/notify/mail/port': {
    label: 'Its port',
    hint: 'Left empty: 587, or 465 with the switch below.',
  },
  '/notify/mail/secure': {
    label: 'Encrypted from the first word',
    hint: 'As the provider says. Without it, encryption is used as soon as the server offers it.',
  },
  '/notify/mail/user': { label: 'User', hint: 'Who logs in there; mostly the whole address.' },
  '/notify/mail/password': {
    label: 'Password',
    hint: 'An app password of its own is best. It is kept by the service and not by this phone.',
  },
  '/notify/mail/from': {
    label: 'The mail comes from',
    hint: 'One address that this user may use.',
  },
  '/notify/mail/to': { label: 'It goes to', hint: 'Mail addresses, one a line.' },
  '/notify/webhook/url': {
    label: 'Address that is called with each warning',
    hint: 'For another program of yours. Begins with https:// or http://.',
  },
  '/notify/webhook/secret': {
    label: 'Secret that signs each call',
    hint: 'So that the other program knows who calls. Any words that nobody guesses.',
  },
  '/notify/webhook/allowLocal': {
    label: 'It may be this computer itself',
    hint: 'Otherwise addresses of this computer are refused.',
  },
};

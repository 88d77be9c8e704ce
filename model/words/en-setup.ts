import { enQuestions } from './en-setup-questions.ts';
import type { SetupWords } from './setup-words.ts';
import type { Speaker } from './speaker.ts';

const answers = (n: number) => (n === 1 ? 'One answer is' : `${n} answers are`);

/** 1 GB being 1,000 MB, as disks are sold. */
const room = (mb: number, say: Speaker): string =>
  mb < 1000
    ? `${say.number(mb, mb < 10 ? 1 : 0)} MB`
    : `${say.number(mb / 1000, mb < 10_000 ? 1 : 0)} GB`;

export const enSetup: SetupWords = {
  headline: ({ assumed, missing }) => ({
    sentence:
      missing > 0
        ? 'Set-up: first say where the tub stands.'
        : assumed > 0
          ? `Set-up: ${answers(assumed).toLowerCase()} still assumed.`
          : 'Set-up: nothing is assumed any more.',
    detail:
      missing > 0
        ? 'Without its place nothing of the sun can be worked out. Everything else can wait.'
        : 'What you do not say is worked with as usual for such tubs. Everything can be changed later.',
  }),
  beforeTub: {
    sentence: 'Set-up: first the sensors.',
    detail:
      'Once one of them is taken for your tub, everything else about the tub can be said here.',
  },
  failed: {
    sentence: 'The set-up cannot be asked for just now.',
    detail: 'It is tried again as soon as the service answers.',
  },
  viewer: {
    sentence: 'This phone may look, but not change the set-up.',
    detail: 'Somebody with full rights can give it more, under Phones.',
  },
  disk({ storeMb, growsMbPerYear, freeMb }, say) {
    const grows =
      growsMbPerYear === null ? '' : ` and will take some ${room(growsMbPerYear, say)} more a year`;
    const free = freeMb === null ? '' : ` ${room(freeMb, say)} are free.`;
    return `All readings are kept. They take ${room(storeMb, say)} on the disk${grows}.${free}`;
  },
  notForSafety:
    'Sunsteep watches and tells, and is no safety device: whatever has to keep people or the plant safe must work without it.',
  part: 'Set-up',
  sections: {
    sensors: {
      name: 'Sensors heard',
      isFor: 'What your boards send, live, and what each sensor is.',
      title: '',
    },
    place: { name: 'Place', isFor: 'Where the tub stands, and its name.', title: 'Set-up: place' },
    tub: { name: 'Tub', isFor: 'How much water, and how warm.', title: 'Set-up: the tub' },
    collectors: {
      name: 'Collectors',
      isFor: 'How many, how large, and which way they look.',
      title: 'Set-up: the collectors',
    },
    loop: {
      name: 'Loop',
      isFor: 'Pipes, water that flows, and where its sensors sit.',
      title: 'Set-up: the loop',
    },
    controller: {
      name: 'Controller and pump',
      isFor: 'When the pump starts and stops, and what it uses.',
      title: 'Set-up: controller and pump',
    },
    backup: {
      name: 'Backup and price',
      isFor: 'What else heats the tub, when it may, and what that costs.',
      title: 'Set-up: backup and price',
    },
    evening: {
      name: 'Evening',
      isFor: 'When you bathe: for that hour the water is foretold.',
      title: 'Set-up: the evening',
    },
    warnings: {
      name: 'Warnings',
      isFor: 'Quiet hours, mail, and calls to other programs.',
      title: 'Set-up: warnings',
    },
    'bucket-test': {
      name: 'Bucket test',
      isFor: 'A bucket and three minutes tell how much water flows.',
      title: '',
    },
    'cup-check': {
      name: 'Cup check',
      isFor: 'Two sensors in one cup tell how far apart they read.',
      title: '',
    },
    phones: { name: 'Phones', isFor: 'Who may see and who may change.', title: '' },
  },
  counts: ({ missing, assumed }) =>
    missing > 0 ? 'missing' : assumed > 0 ? `${assumed} still assumed` : 'all told',
  stillAssumed: (n) =>
    n === 0 ? 'Nothing here is assumed.' : `${answers(n)} assumed until you say otherwise.`,
  standing: {
    said: '',
    assumed: 'assumed',
    learned: 'assumed until it is learned',
    'data-sheet': 'assumed; only a data sheet tells',
    open: '',
  },
  unsaved: 'not saved yet',
  units: {
    litres: 'litres',
    gallons: 'gallons',
    litresFlow: 'litres a minute',
    gallonsFlow: 'gallons a minute',
    C: '°C',
    F: '°F',
    differenceC: 'degrees (°C)',
    differenceF: 'degrees (°F)',
    lossPerC: 'watts for each °C',
    lossPerF: 'watts for each °F',
    watts: 'watts',
    metres: 'metres',
    squareMetres: 'square metres',
    degrees: 'degrees',
    pricePerKwh: 'money for each kWh',
    gramsPerKwh: 'grams of CO₂ for each kWh',
    plain: '',
  },
  questions: enQuestions,
  wrong(why) {
    if ('low' in why) {
      return why.above
        ? `It must be more than ${why.low}, and ${why.high} at most.`
        : `It must be from ${why.low} to ${why.high}.`;
    }
    if ('most' in why) return `That is too long: ${why.most} characters at most.`;
    return wrongs[why.wrong] ?? 'That cannot be right.';
  },
  wrongSomewhere: 'Not saved: something above is not right yet. It says what, beside it.',
  refusedField: (why) => `The service did not take this: ${why}.`,
  refused: (why) => `Not saved: ${why}`,
  unreachable:
    'The service does not answer. What you typed is kept on this phone and is sent as soon as it does.',
  unreachableOnce:
    'The service did not answer: whether it arrived is not known. Press again in a moment.',
  saved: 'Saved.',
  save: 'Save',
  saving: 'Saving…',
  forget: 'Take back what is not saved',
  confirm: 'That is right',
  confirmHint: (names) => `Confirms what is still assumed here: ${names.join(', ')}.`,
  since: {
    title: 'Since when is it so?',
    now: 'From now on',
    nowHint: 'Something was changed today. Past days stay as they are.',
    always: 'Always',
    alwaysHint:
      'It was so all along. Past days are worked out again, and everything in the set-up then counts ' +
      'for them as it stands now.',
    date: 'Since a day',
    dateHint:
      'It was changed then. Days from then on are worked out again, with the set-up as it stands now.',
    firstDay: 'The first day on which it was so',
    wrongDate: 'Choose a day up to today.',
  },
  preview: 'Which days would change?',
  previewed: (days) =>
    days === null
      ? 'No day would change.'
      : days.count === 1
        ? `One day would change: ${days.first}.`
        : `${days.count} days would change, from ${days.first} to ${days.last}.`,
  next: (name) => `Next: ${name}`,
  all: 'All of Set-up',
  place: {
    needsHttps:
      'A phone gives its place only to pages over HTTPS, and this one is not. Type the place in: a ' +
      'town’s coordinates from any map are exact enough.',
    doubted: ({ place, zone, meant }) =>
      `${place} is far from ${zone}, whose time was chosen. ` +
      (meant === null
        ? 'Look at all three again: the sun is worked out from them.'
        : `Was ${meant} meant? The sun is worked out from it.`),
    coordinates: (latitude, longitude) => `${latitude}, ${longitude}`,
    take: (meant) => `Take ${meant}`,
    isRight: 'It is right as it is',
  },
  spans: {
    span: (n) => `Hours ${n}`,
    days: 'On',
    from: 'From',
    to: 'Until',
    price: 'Price for each kWh',
    add: 'Add hours',
    remove: 'Remove these hours',
    overMidnight: 'An end before the start is on the next morning.',
    noHours: 'No hours: always.',
  },
  secret: {
    isKept: 'One is kept. It is never shown again; type a new one to replace it.',
    none: 'None is kept.',
  },
  endMail: 'Send no more mail',
  endWebhook: 'Call nothing any more',
  test: {
    mail: 'Send a test mail',
    webhook: 'Make a test call',
    first: 'Save first; the test uses what is saved.',
    sending: 'Sending…',
  },
};

const wrongs: Record<string, string> = {
  number: 'That must be a number.',
  whole: 'That must be a whole number.',
  currency: 'Three letters, such as NZD or EUR.',
  mail: 'That must be one mail address, such as tub@example.org.',
  mails: 'Mail addresses alone, one a line, 20 at most.',
  web: 'That must be an address that begins with http:// or https://.',
  host: 'The name of a mail server alone, such as mail.example.org.',
  time: 'That must be a time of the day.',
  needed: 'This is needed.',
  spans: 'All hours need at least one day, a start and an end, and prices a number.',
};

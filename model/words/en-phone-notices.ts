import type { PhoneNoticesWords } from './phone-notice-words.ts';

/** What is said of notices on this phone, in English. */
export const enPhoneNotices: PhoneNoticesWords = {
  off: {
    sentence: 'This phone is told nothing while the page is closed.',
    detail: 'An alert helps only if somebody hears of it.',
  },
  on: {
    sentence: 'This phone tells you when something is wrong.',
    detail: 'One line that names what to do, also while the page is closed.',
  },
  lost: {
    sentence: 'This phone has stopped showing notices.',
    detail: 'Its browser has ended them. Turn them on again.',
  },
  loading: 'Looking whether this phone can be told…',
  failed: {
    sentence: 'How this phone is told could not be fetched.',
    detail: 'It is fetched again as soon as Sunsteep can be reached.',
  },
  cannot: {
    'not-secure': {
      sentence: 'This phone allows no notices here, since the address is not encrypted.',
      detail:
        'Phones show notices only for pages that begin with https. All else works without it. There are three ways out.',
    },
    'not-installed': {
      sentence: 'This phone shows notices only for pages on its home screen.',
      detail:
        'Open the browser’s Share menu, choose “Add to Home Screen”, open Sunsteep from there and come back here.',
    },
    'not-able': {
      sentence: 'This browser cannot show notices.',
      detail: 'Another browser on this phone may. Mail works without any.',
    },
    denied: {
      sentence: 'Notices from this page are blocked on this phone.',
      detail:
        'Allow them in the browser’s settings for this page, then come back here. Sunsteep cannot ask a second time.',
    },
    'not-answered': {
      sentence: 'The phone’s question was left unanswered.',
      detail: 'Press the button, and it is asked again.',
    },
    private: {
      sentence: 'The phone’s browser would not be told.',
      detail:
        'Private windows, and phones without a push service, cannot be. Mail works without any.',
    },
  },
  waysOut: {
    title: 'Ways out',
    certificate:
      'A certificate of your own: put its files in SUNSTEEP_TLS_CERT and SUNSTEEP_TLS_KEY on the computer that Sunsteep runs on, and open the page with https.',
    proxy:
      'A reverse proxy that speaks https in front of Sunsteep: put its address in SUNSTEEP_URL.',
    mail: 'Mail instead: it is set up once for the whole house and needs no https.',
  },
  turnOn: 'Tell me on this phone',
  turningOn: 'Asking the phone…',
  turnOff: 'Tell me no more on this phone',
  why: 'The phone will ask whether it may show notices. It is asked so that you hear of a fault while the page is closed. The browser’s maker passes them on and cannot read them.',
  wishes: 'What to tell',
  least: {
    title: 'Tell me of',
    look: 'Everything, what can wait once a day',
    act: 'What is to be done today, and danger',
    danger: 'Danger alone',
  },
  quiet: {
    title: 'Quiet hours',
    house: 'As set for the whole house',
    own: 'My own, on this phone',
    none: 'None',
    from: 'From',
    to: 'To',
    means: 'Danger comes at any hour.',
    wrong: 'Say from when to when.',
  },
  atNight: 'What is to be done today may wake me too',
  save: 'Save',
  saved: 'Saved.',
  turnedOff: 'This phone is told no more.',
  test: 'Send a test notice',
  testing: 'Sending…',
  testSent: 'It is on its way, and should show on this phone in a moment.',
  testFailed: (why) => `It could not be delivered. ${why}`,
  tooMany: 'That were many tests. Wait a minute.',
  undelivered: (why) => `The last notice to phones could not be delivered. ${why}`,
  waiting: (count) =>
    count === 1
      ? 'One notice waits and is tried again.'
      : `${count} notices wait and are tried again.`,
  unreachable:
    'Sunsteep did not answer: whether it arrived is not known. Try again when it is live.',
  refused: (why) => `That was refused. ${why}`,
  noSafety:
    'Notices may come late, or never: networks, batteries and other people’s servers lie between. Sunsteep is no safety device.',
};

import type { PhonesWords } from './phones-words.ts';

const phones = (count: number) => (count === 1 ? 'one phone' : `${count} phones`);
const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

export const enPhones: PhonesWords = {
  headline: ({ full, viewer, all }) => ({
    sentence:
      viewer === 0
        ? `${capital(phones(full))} may see and change everything ${all ? 'here' : 'of your tubs alone'}.`
        : `${capital(phones(full))} may change things, ${phones(viewer)} may look.`,
    detail: all
      ? 'Nobody else on your network sees anything: a phone is let in by a link, once.'
      : 'Phones that may see more than that are not listed here.',
  }),
  viewer: {
    sentence: 'This phone may look, but not let other phones in.',
    detail:
      'Which phones there are is told to those that may change things. Ask the person who let this one in.',
  },
  failed: {
    sentence: 'The phones could not be fetched.',
    detail: 'They are fetched again as soon as Sunsteep can be reached.',
  },
  lastKnown: ({ since, duration }) =>
    `Sunsteep has been out of reach since ${since}, for ${duration}. The list is from then.`,
  list: 'Phones',
  right: { full: 'May see and change', viewer: 'May look only' },
  you: 'this phone',
  onlyTubs: (names) => `Only ${names}.`,
  until: (date) => `Until ${date}.`,
  paired: (date) => `Let in ${date}.`,
  seen: (ago) => `Seen ${ago}.`,
  neverSeen: 'Not seen since.',
  rename: 'Rename',
  renameNamed: (name) => `Rename ${name}`,
  newName: 'Name',
  wrongName: 'A name has 1 to 60 characters.',
  save: 'Save the name',
  remove: 'Remove',
  removeNamed: (name) => `Remove ${name}`,
  removeSure: (name) => `Remove ${name}?`,
  removeMeans:
    'It is out at once: it sees nothing more and gets no notices. To come back it needs a new link.',
  removeSelfSure: 'Remove this phone, the one in your hand?',
  removeSelfMeans:
    'You are out at once, and what this phone remembers is wiped. To come back you need a new link, from another phone that may change things or from the computer that Sunsteep runs on.',
  removeIt: 'Yes, remove it',
  keepIt: 'Keep it',
  removed: (name) => `Removed: ${name}.`,
  renamed: (name) => `It is now called ${name}.`,
  gone: 'It is not there any more.',
  unreachable:
    'Sunsteep did not answer: whether it arrived is not known. Try again when it is live.',
  refused: (why) => `That was refused. ${why}`,
  links: 'Links that nobody has used yet',
  link: (right) => `A link: ${right.charAt(0).toLowerCase()}${right.slice(1)}`,
  linkEnds: (clock) => `Good until ${clock}, once.`,
  takeBack: 'Take it back',
  takenBack: 'The link is void.',
  more: {
    title: 'One more phone',
    open: 'Let one more phone in…',
    mayDo: 'What may it do?',
    fullMeans: 'Everything you can: set-up, log, phones. For who looks after the tub with you.',
    viewerMeans: 'See figures and alerts, change nothing. For family and guests.',
    whichTubs: 'Which tubs?',
    end: 'Last day',
    endHint: 'For a helper: after that day the phone is out by itself. Empty: no end.',
    noTub: 'Choose at least one tub.',
    pastEnd: 'The last day must be today or later.',
    make: 'Make the link',
    making: 'Making the link…',
    how: 'Point the other phone’s camera at this picture and open what it finds.',
    picture: 'The link as a picture for a camera',
    orSend: 'Or send the link to it:',
    copy: 'Copy the link',
    copied: 'Copied.',
    left: (duration) => `${duration} left`,
    over: 'The ten minutes are over. The link lets nobody in any more.',
    once: 'It lets one phone in, once. Whoever opens it first is in, so show it to nobody else.',
    cameIn: (name) => `It is in: ${name}. Give it a name that you will know below.`,
    another: 'Make another link',
    done: 'Done',
  },
};

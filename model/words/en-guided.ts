import type { GuidedWords } from './guided-words.ts';

export const enGuided: GuidedWords = {
  bucket: {
    headline: {
      sentence: 'Bucket test: how much water flows?',
      detail: 'Three fills of one bucket. Heat is only as well known as this.',
    },
    caution:
      'Caution: water from the collectors can scald, and a hot loop can spit steam. Do this in the ' +
      'morning or after dark, when everything is cool. Never open a loop that is hot or under pressure: ' +
      'only where water runs openly back into the tub can a bucket be held under it. Keep plugs and ' +
      'leads away from the water.',
    prepare: [
      'Let the pump run, by hand at the controller if need be, until no more air comes.',
      'Hold the bucket under the pipe that runs back into the tub, at the height of the usual water level.',
      'Press start as the first water falls in, and stop at the mark.',
    ],
    volume: 'The bucket holds, up to its mark',
    volumeHint: 'Weigh it full and empty if you can: a kilogram is a litre.',
    fill: (n) => `Fill ${n}`,
    start: 'Start',
    stop: 'Stop',
    running: (seconds) => `${seconds} s`,
    seconds: 'or the seconds by another watch',
    wrongVolume: (most) => `That must be a number above 0, and ${most} at most.`,
    wrongSeconds: 'That must be seconds above 0, and 7200 at most.',
    again: 'Empty it and fill it again.',
    result: ({ flow, low, high }) => `It flows ${flow}, the fills between ${low} and ${high}.`,
    notYet: (n) => (n === 1 ? 'One more fill, then it is known.' : `${n} fills, then it is known.`),
    differ:
      'The fills differ by more than a bucket and a watch explain. Do again the one that went wrong.',
    beside: ({ flow, basis }) =>
      `Worked with so far: ${flow}, ${{ learned: 'learned from the tub', 'set-up': 'as it was told', assumed: 'assumed' }[basis]}. ` +
      'That is a little less than what flows, since the pipes lose some of the heat.',
    use: 'Use this flow from now on',
    used: (flow) => `Entered in the log. Heat is worked out with ${flow} from now on.`,
    startOver: 'Begin again',
  },
  cup: {
    headline: {
      sentence: 'Cup check: do two sensors read alike?',
      detail:
        'In the same water two sensors should read the same. What they differ by can be taken off.',
    },
    caution:
      'Caution: warm water from the tap, never boiling. Only the tips of the sensors go into the cup, ' +
      'neither a plug nor a board, and no mains lead comes near it. Take a sensor out only where that ' +
      'opens no pipe, and while everything is cool.',
    steps: [
      'Put both tips into one cup of warm water, close together, not touching the wall.',
      'Stir for a minute, and now and then while you wait.',
      'Wait until both have come to rest. That takes some minutes.',
    ],
    first: 'One sensor',
    second: 'The other',
    same: 'Choose two different sensors.',
    noSensors: 'Two temperatures have to be heard for this.',
    value: ({ name, value, age }) => `${name}: ${value}, ${age}`,
    silent: (name) => `${name}: not heard`,
    watch: 'Both are in the cup',
    stopWatching: 'Begin again',
    waiting: 'Waiting for more readings. Stir now and then.',
    moving: 'Not at rest yet. Stir, and wait.',
    tooFar: (difference) =>
      `They read ${difference} apart. That is no offset: look whether both are in the water, and whether one is broken.`,
    settled: ({ first, second, difference, more }) =>
      `At rest. ${second} reads ${difference} ${more ? 'more' : 'less'} than ${first}.`,
    alike: ({ first, second }) => `At rest. ${first} and ${second} read alike.`,
    offer: ({ name, offset }) => `${name} would be corrected by ${offset} from now on.`,
    which: 'Which one is corrected?',
    follow: ({ changed, other }) => `${changed}, to read as ${other} does`,
    use: 'Use this correction',
    confirmAlike: 'Keep that they were compared',
    used: 'Kept: what both tell is taken as compared today. Put the sensors back where they were.',
    logMissing: 'The correction is kept; the log does not have the check yet.',
    logAgain: 'Enter it in the log',
  },
  degrees: (difference, unit) => `${difference} °${unit}`,
  sending: 'Sending…',
  unreachable: 'The service does not answer. Nothing is lost; press again in a moment.',
  refused: (why) => `That was not taken: ${why}`,
  viewer: {
    sentence: 'This phone may look, but not change the set-up.',
    detail: 'Somebody with full rights can give it more, under Phones.',
  },
};

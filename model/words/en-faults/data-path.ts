import { type AllFaultWords, figure, type ToldFault } from '../fault-words.ts';
import type { Speaker } from '../speaker.ts';

const boardOf = ({ evidence }: ToldFault): string | null =>
  typeof evidence.board === 'string' ? evidence.board : null;

/** An instant of the evidence as a time of day. */
const timeOf = ({ evidence }: ToldFault, name: string, say: Speaker): string => {
  const told = evidence[name];
  return typeof told === 'string' ? say.time(Date.parse(told)) : 'some time ago';
};

const minutes = (told: ToldFault, say: Speaker): string =>
  `${say.number(figure(told, 'minutes') ?? 0, 0)} minutes`;

/** `a full hour late`, `47 minutes early` */
const offBy = (told: ToldFault, say: Speaker): string => {
  const off = figure(told, 'offMinutes') ?? 0;
  const hours = Math.abs(figure(told, 'wholeHours') ?? 0);
  const side = off > 0 ? 'ahead' : 'behind';
  if (hours === 1) return `a full hour ${side}`;
  if (hours > 1) return `${say.number(hours, 0)} full hours ${side}`;
  return `${say.number(Math.abs(off), 0)} minutes ${side}`;
};

export const dataPathWords: Pick<
  AllFaultWords,
  'broker-lost' | 'device-silent' | 'sensor-silent' | 'clock-wrong'
> = {
  'broker-lost': {
    says: () => 'Nothing can be heard: the message broker does not answer.',
    first: 'See whether the network and the machine with the broker are up.',
    shows: (told, say) => `There has been no connection for ${minutes(told, say)}.`,
    checks: [
      'Look whether a phone on the same network gets through to anything.',
      'Look whether the machine on which the broker runs is up, and the broker with it.',
      'Look whether its disk is full, or whether a certificate or a password was changed.',
      'Until it answers nobody watches the loop: go by your own thermometer.',
    ],
    over: 'The message broker answers again.',
  },
  'device-silent': {
    says(told, say) {
      const since = timeOf(told, 'heardAt', say);
      if (told.evidence.allBoards === true) return `No board has been heard since ${since}.`;
      const board = boardOf(told);
      return board === null
        ? `The sensors have not been heard since ${since}.`
        : `The board "${board}" has not been heard since ${since}.`;
    },
    first: 'See whether it has power.',
    shows(told, say) {
      const count = figure(told, 'points') ?? 0;
      const all = count === 1 ? 'its one sensor' : `all ${say.number(count, 0)} of its sensors`;
      const goodbye =
        told.evidence.lastWill === true ? ', and the broker says that it is gone' : '';
      return `Nothing came from ${all} for ${minutes(told, say)}${goodbye}.`;
    },
    checks: [
      'Look at its plug and its socket: a garden socket may have been used for something else.',
      'Look whether its network reaches it: a door, a wet hedge or a moved access point can be enough.',
      'Take its low-voltage supply out for ten seconds and put it in again.',
      'Look whether its lamp shows the same as on good days.',
    ],
    caution:
      'If the collectors stood hot meanwhile, the first water after a start can scald: nobody near ' +
      'the inlet until it has run for ten minutes. Leave mains wiring to a licensed electrician.',
    over: 'It is heard again.',
  },
  'sensor-silent': {
    says: (told, say) =>
      `The sensor "${told.point}" has not been heard since ${timeOf(told, 'heardAt', say)}.`,
    first: 'Look at its battery or its plug.',
    shows: (told, say) =>
      `It was silent for ${minutes(told, say)}; usually it speaks every ` +
      `${say.number(figure(told, 'usualSeconds') ?? 0, 0)} seconds.`,
    checks: [
      'If it has a battery, change it.',
      'Look whether its plug and its cable are where they should be.',
      'Look whether the board still has it in its settings, and start the board anew.',
    ],
    over: 'The sensor is heard again.',
  },
  'clock-wrong': {
    says: (told, say) => `The clock behind the readings is ${offBy(told, say)}.`,
    first: 'Set the clock of the board, or its time zone.',
    shows(told, say) {
      const days = figure(told, 'clearDays');
      return days === null
        ? `${say.number(figure(told, 'messages') ?? 0, 0)} messages in a row carried such times.`
        : `On ${say.number(days, 0)} clear days mornings and evenings of the loop were both off the ` +
            `sun's by ${say.number(Math.abs(figure(told, 'offMinutes') ?? 0), 0)} minutes.`;
    },
    checks: [
      'Look whether the board gets its time from a time server, and whether it reaches it.',
      'Look whether it tells times of its own zone, or summer time, without saying so.',
      'Look whether its clock has a battery, and whether that is flat.',
      'If the collectors face another way than the set-up says, mend the set-up.',
    ],
    over: 'The clock behind the readings is right again.',
  },
};

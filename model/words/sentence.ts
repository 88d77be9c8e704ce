import { MINUTE } from '../readings.ts';
import type { State } from '../shapes.ts';
import {
  bathingLimitC,
  differenceK,
  freshness,
  isNight,
  type Situation,
  sincePumpChange,
  stateOf,
} from '../state.ts';
import type { Speaker } from './speaker.ts';
import type { Aged, Told, Words } from './words.ts';

/** A pump that brings no heat for longer than this is not waiting for a cloud to pass. */
const usualWithoutHeatMs = 15 * MINUTE;

/** A collector this much warmer than the tub should be giving heat [K]. */
const givingK = 5;

/** States in which there is water that somebody might get into, and whose temperature is of now. */
const told: ReadonlySet<State> = new Set<State>([
  'no-setup',
  'drained',
  'heating',
  'running-without-heat',
  'pump-running',
  'warm-enough',
  'night',
  'waiting',
  'idle',
]);

/**
 * The first line and the second, in somebody's words and units.
 *
 * Above the bathing limit no state is said without saying so first.
 */
export function sentenceOf(state: State, situation: Situation, words: Words, say: Speaker): Told {
  const plain = plainly[state](situation, words, say);
  const tub = temperature(situation, 'tub/temperature', situation.figures.tubC);
  if (tub === null || tub.celsius <= bathingLimitC || !told.has(state)) return plain;
  return words.states.tooHot({ tub, besides: plain }, say);
}

const plainly: Record<State, (s: Situation, words: Words, say: Speaker) => Told> = {
  danger(s, words, say) {
    const alert = stateOf(s).danger;
    const aboutWater = alert === null || alert.fault === 'water-too-hot';
    return words.states.danger(
      {
        tub: temperature(s, 'tub/temperature', s.figures.tubC),
        says: aboutWater ? null : alert.says,
        since: alert === null ? null : moment(alert.since, s, say),
        first: alert?.checks[0] ?? null,
      },
      say,
    );
  },
  'no-reading': (_, words) => words.states.noReading,
  silent: (s, words, say) =>
    words.states.silent({
      since: s.figures.heardAt === null ? null : moment(s.figures.heardAt, s, say),
    }),
  'no-setup': (s, words) =>
    words.states.noSetup({ missing: s.figures.missing.map(words.points.missing) }),
  drained: (s, words, say) =>
    words.states.drained({
      since: say.date(say.dateOf(Date.parse(s.figures.drainedSince ?? s.at))),
    }),
  heating: (s, words, say) =>
    words.states.heating(
      {
        powerW: s.powerW ?? 0,
        estimated: s.figures.powerBasis === 'estimated',
        tubKPerH: s.figures.tubKPerH,
      },
      say,
    ),
  'running-without-heat'(s, words, say) {
    const forMs = sincePumpChange(s);
    const dark = isNight(s);
    const usual =
      !dark && forMs !== null && forMs <= usualWithoutHeatMs && (differenceK(s) ?? 0) < givingK;
    return words.states.runningWithoutHeat({ powerW: s.powerW ?? 0, forMs, usual, dark }, say);
  },
  'pump-running': (s, words) =>
    words.states.pumpRunning({ powerKnown: s.powerW !== null, forMs: sincePumpChange(s) }),
  'warm-enough': (s, words, say) =>
    words.states.warmEnough(
      {
        tub: temperature(s, 'tub/temperature', s.figures.tubC),
        limitC: s.figures.limitC,
        resting: s.figures.pumpOn === false,
      },
      say,
    ),
  night(s, words, say) {
    const { day, figures } = s;
    // Before sunrise the new day has nothing to tell yet; the one before is what counts.
    const morning = figures.sunrise !== null && Date.parse(s.at) < Date.parse(figures.sunrise);
    const gain = morning ? figures.yesterday : day;
    return words.states.night(
      {
        today: !morning,
        gain: { kwh: gain?.gainKwh ?? null, basis: gain?.basis ?? null },
        tub: temperature(s, 'tub/temperature', figures.tubC),
        tubKPerH: figures.tubKPerH,
        usualKPerH: figures.usualNightKPerH,
      },
      say,
    );
  },
  waiting(s, words, say) {
    const { collector, tub } = bothEnds(s);
    if (collector === null || tub === null) return plainly.idle(s, words, say);
    return words.states.waiting({ collector, tub, switchOnK: s.figures.switchOnK ?? 0 }, say);
  },
  idle(s, words, say) {
    const { pumpOn, switchOnK } = s.figures;
    const difference = differenceK(s);
    const hot =
      pumpOn === false && difference !== null && switchOnK !== null && difference >= switchOnK;
    return words.states.idle({ pumpOn, hot, ...bothEnds(s) }, say);
  },
};

function bothEnds(s: Situation): { collector: Aged | null; tub: Aged | null } {
  return {
    collector: temperature(s, 'collector/temperature', s.figures.collectorC),
    tub: temperature(s, 'tub/temperature', s.figures.tubC),
  };
}

/** A temperature that may be said, with its age where it is late; null where it is gone. */
function temperature(s: Situation, point: string, celsius: number | null): Aged | null {
  if (celsius === null) return null;
  const value = s.values[point];
  if (value === undefined || value.time === null) return { celsius, ageMs: null };
  const at = Date.parse(s.at);
  const state = freshness(value, at);
  if (state === 'gone') return null;
  return { celsius, ageMs: state === 'late' ? at - Date.parse(value.time) : null };
}

const moment = (instant: string, s: Situation, say: Speaker): string =>
  say.moment(Date.parse(instant), Date.parse(s.at));

import { quantile } from '../minutes/usual.ts';
import { tubCapacityWhPerK } from '../tub-losses.ts';
import type { FaultId } from './fault-id.ts';
import type { ClosedDay, Finding, PastDay, PresentDay, Rule } from './rule.ts';

const LIMITS = {
  /** Loss of the last nights over that of the first ones under this cover. */
  lookTimes: 1.25,
  actTimes: 1.6,
  endsTimes: 1.15,
  nights: 5,
};
/** Wind, rain and skies move single nights: it has to be more than this many times what they do. */
const PLAINLY = 2;
const REFERENCE = { least: 4, most: 12 };
/** A night at so many times the usual was spent with the cover off. */
const OPEN_ABOVE = 3.5;
/** Quiet dark hours that stand for a night in which the tub was not left alone for long. */
const HOURS = { least: 3, leastDifferenceK: 10, leastDropK: 0.3 };
/** An irradiance sensor tells a little in the dark. [kWh/m² in an hour] */
const DARK_KWH_PER_M2 = 0.01;
const FORGOTTEN_MS = 21 * 86_400_000;

/**
 * Which of the last nights tells: the middle one; without an outdoor sensor, and so without the sensors
 * that tell baths and rain, the best one, since these only ever add to what a tub loses.
 */
const TELLS = { airHeard: 0.5, airUnheard: 0 };

const explains: readonly FaultId[] = ['night-back-flow', 'pump-on-at-night', 'cover-left-off'];

interface NightLoss {
  wPerK: number;
  isAirHeard: boolean;
}

interface Gathered {
  /** By something else that takes the tub's heat. */
  isExplained: boolean;
}

/** The tub loses more than it did: its cover is wet or does not fit, its insulation is wet. */
export const tubLossGrown: Rule<unknown, Gathered, NightLoss, typeof LIMITS> = {
  fault: 'tub-loss-grown',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [['endsTimes', 'lookTimes', 'actTimes']],
  needs: [
    ['tub/temperature'],
    ['pump/running', 'pump/power', 'pump/flow'],
    ['outdoor/temperature', 'collector/temperature'],
  ],
  uses: ['tub/cover', 'backup/power', 'backup/energy', 'filter/running'],
  mutedBy: [
    'night-back-flow',
    'pump-on-at-night',
    'tub-sensor-out-of-water',
    'cover-left-off',
    'outdoor-sensor-in-sun',
    'water-level-falling',
  ],
  daily: {
    begin: () => ({ isExplained: false }),
    add(gathered, { isTold, states }) {
      if (states.dark && explains.some(isTold)) gathered.isExplained = true;
    },
    close: lossOfNight,
    judge,
  },
};

function lossOfNight(
  { isExplained }: Gathered,
  { evidence, quarters, settings }: ClosedDay,
): NightLoss | null {
  if (isExplained) return null; // once it is mended its nights would still be among the last
  if (settings.owner.drained || !evidence) return null;
  const isAirHeard = quarters.some(({ airC }) => airC !== null);
  if (evidence.night) return { wPerK: evidence.night.wPerK, isAirHeard };
  let [hours, lossKh, dropK] = [0, 0, 0];
  for (const hour of evidence.hours) {
    const isDark = hour.driveKwhMinPerL === 0 && hour.sunKwhPerM2 < DARK_KWH_PER_M2 * hour.hours;
    if (!isDark || hour.lossKh < HOURS.leastDifferenceK * hour.hours) continue;
    hours += hour.hours;
    lossKh += hour.lossKh;
    dropK -= hour.riseK;
  }
  if (hours < HOURS.least || dropK < HOURS.leastDropK) return null;
  return { wPerK: (tubCapacityWhPerK(settings.tub.litres) * dropK) / lossKh, isAirHeard };
}

function judge(
  days: readonly PastDay<NightLoss>[],
  now: PresentDay,
  limits: typeof LIMITS,
): Finding {
  const since = now.settings.owner.coverSince ?? 0;
  const nights = days.filter(({ from, fact }) => from >= since && fact.wPerK > 0);
  const isAirHeard = nights.at(-1)?.fact.isAirHeard ?? false;
  const past = nights.slice(0, -limits.nights).slice(0, REFERENCE.most);
  if (past.length < REFERENCE.least) return 'blind';
  const reference = past.map(({ fact }) => fact.wPerK);
  const usual = quantile(reference, 0.5);
  const covered = nights.filter(({ fact }) => fact.wPerK < OPEN_ABOVE * usual);
  const newest = covered.slice(-limits.nights);
  if (newest.length < limits.nights || now.t - newest.at(-1)!.to > FORGOTTEN_MS) return 'blind';
  const wPerK = quantile(
    newest.map(({ fact }) => fact.wPerK),
    isAirHeard ? TELLS.airHeard : TELLS.airUnheard,
  );
  const spread =
    1.4826 *
    quantile(
      reference.map((each) => Math.abs(each - usual)),
      0.5,
    );
  const grown = wPerK / usual;
  if (grown < limits.endsTimes) return 'gone';
  if (grown <= limits.lookTimes || wPerK - usual <= PLAINLY * spread) return 'between';
  return {
    severity: grown > limits.actTimes ? 'act' : 'look',
    since: newest[0]!.from,
    evidence: {
      lossWPerK: wPerK,
      usualLossWPerK: usual,
      grownShare: grown - 1,
      nights: newest.length,
    },
  };
}

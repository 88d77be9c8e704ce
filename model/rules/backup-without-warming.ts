import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { HOUR, MINUTE } from '../readings.ts';
import { mayRun } from '../tariff.ts';
import { tubCapacityWhPerK } from '../tub-losses.ts';
import type { Finding, PastDay, Present, Rule } from './rule.ts';

/** Heat that must show in the water, looked for over as many hours as it takes. */
const PAID = { kwh: 1, expectedK: 0.6, steps: 2, windowsMin: [60, 90, 120, 180, 240] };
const LIMITS = {
  /** Share of the expected rise below which nothing comes, and above which it does. */
  nothingBelow: 0.3,
  warmsAbove: 0.6,
  /** So far above what is wanted, and for so long, a thermostat no longer heats. */
  hotAboveK: 1,
  hotMin: 30,
  hotEndsAboveK: 0.5,
  /** So cold, and for so long, a tub would have been heated. */
  coldBelowK: 2,
  coldMin: 180,
};
/** A heat pump gives several times what it takes; in frost it gives less of that. */
const HEAT_PUMP_SHARE = 0.5;
/** Where losses, which wind and rain change, take more of what it gives, what is left says little. */
const LOST_SHARE = 0.4;
const HOT_C = 40.5;
/** A backup that has rested so long has stopped. */
const STOPPED_MIN = 360;
/** One that was never seen to heat may be off on purpose: it takes longer to say. */
const NEVER_SEEN_MIN = 1440;
const BELOW_START_K = 1.5;
const USUAL_ABOVE_AIR_K = 25;
/** Less than this share of its power is stand-by. */
const DRAWS_SHARE = 0.05;
const DRAWS_W = 60;
/** Where a thermostat has been seen to start and to be still heating may be off the set-up's figure. */
const SEEN = { days: 20, least: 3, mostK: 1.5 };
const LOOK_EVERY_MS = 5 * MINUTE;

type Sign = 'heats-nothing' | 'never-stops' | 'no-power';

interface Memory {
  /** How long nothing but backup, sun and losses has moved the tub's temperature [min]. */
  calmMin: number;
  /** And the solar pump rested as well [min]. */
  stillMin: number;
  hotMin: number;
  coldMin: number;
  drawsMin: number;
  restsMin: number;
  sign: Sign | null;
}

/** What a day shows of the thermostat: tub where the backup began, and hottest while it heated. [°C] */
interface Held {
  startsC: number[];
  hottestC: number | null;
  /** Hours of the clock in which it heated. */
  hours: number[];
  /** The tub's loss as it was known by then. */
  lossWPerK: number;
}

interface Gathered extends Omit<Held, 'lossWPerK'> {
  wasOn: boolean;
}

/** The backup takes power and warms nothing, or heats without end, or stays off when it is needed. */
export const backupWithoutWarming: Rule<Memory, Gathered, Held, typeof LIMITS> = {
  fault: 'backup-without-warming',
  severity: 'act',
  onMs: 10 * MINUTE,
  offMs: 30 * MINUTE,
  limits: LIMITS,
  rising: [
    ['nothingBelow', 'warmsAbove'],
    ['hotEndsAboveK', 'hotAboveK'],
  ],
  needs: [['tub/temperature'], ['backup/power', 'backup/energy']],
  uses: ['backup/setpoint', 'outdoor/temperature', 'tub/cover'],
  mutedBy: [
    'to-and-from-swapped',
    'tub-sensor-out-of-water',
    'pump-on-at-night',
    'night-back-flow',
  ],
  memory: () => ({
    calmMin: 0,
    stillMin: 0,
    hotMin: 0,
    coldMin: 0,
    drawsMin: 0,
    restsMin: 0,
    sign: null,
  }),
  minute(minute, memory, _, days, limits): Finding {
    const { settings, states, tubC, backupW } = minute;
    if (settings.backup.kind === 'none' || states.drained) return 'gone';
    if (tubC === null || backupW === null) return 'blind';
    const held = heldLately(days, minute);
    count(minute, memory, held, limits);
    const found =
      heatsNothing(minute, memory, held.lossWPerK, limits) ??
      neverStops(minute, memory, limits) ??
      noPower(minute, memory, held, limits);
    if (found) return found;
    return isWell(minute, memory, limits) ? 'gone' : 'between';
  },
  daily: {
    begin: () => ({ startsC: [], hottestC: null, hours: [], wasOn: false }),
    add(gathered, minute) {
      const { backupW, tubC } = minute;
      const isOn = backupW !== null && backupW > drawsW(minute);
      if (isOn && tubC !== null) {
        if (!gathered.wasOn && gathered.startsC.length < 20) gathered.startsC.push(tubC);
        gathered.hottestC = Math.max(gathered.hottestC ?? tubC, tubC);
        const hour = Math.floor(minute.minuteOfDay / 60);
        if (!gathered.hours.includes(hour)) gathered.hours.push(hour);
      }
      gathered.wasOn = isOn;
    },
    close: ({ startsC, hottestC, hours }, { learned }) =>
      hottestC === null ? null : { startsC, hottestC, hours, lossWPerK: learned.lossWPerK.value },
  },
};

const drawsW = ({ settings }: Minute): number =>
  Math.max(DRAWS_W, DRAWS_SHARE * settings.backup.watts);

const wantedC = ({ setpointC, settings }: Minute): number => setpointC ?? settings.tub.targetC;

function count(
  minute: Minute,
  memory: Memory,
  { startC, hottestC, hours }: HeldLately,
  { hotAboveK, coldBelowK }: typeof LIMITS,
): void {
  const { states, settings, t } = minute;
  const [tubC, backupW] = [minute.tubC!, minute.backupW!];
  const { owner, backup, place } = settings;
  const wanted = wantedC(minute);
  // a pump that runs on cold collectors takes out what the backup gives
  const cools = states.pumpOn === true && (minute.differenceK ?? 0) <= 0;
  const isCalm = !states.bathing && !states.topUp && !owner.changingWater && !cools;
  const draws = backupW > drawsW(minute);
  memory.calmMin = isCalm ? memory.calmMin + 1 : 0;
  memory.stillMin = isCalm && states.pumpOn !== true ? memory.stillMin + 1 : 0;
  memory.drawsMin = draws ? memory.drawsMin + 1 : 0;
  memory.restsMin = draws ? 0 : memory.restsMin + 1;
  const isHot = draws && tubC > Math.max(wanted, hottestC) + hotAboveK;
  memory.hotMin = isHot ? memory.hotMin + 1 : 0;
  const isCold = tubC < Math.min(wanted - coldBelowK, startC - BELOW_START_K);
  if (draws || !isCold || owner.away || owner.changingWater) memory.coldMin = 0;
  else if (mayRun(t, backup.hours, place.timeZone) && isItsHour(minute, hours)) memory.coldMin++;
}

interface HeldLately {
  /** Where it was seen to start, and to be still heating, near what it is set to. [°C] */
  startC: number;
  hottestC: number;
  /** Hours of the clock in which it was seen to heat; a timer's clock may know no others. */
  hours: ReadonlySet<number>;
  lossWPerK: number;
}

const isItsHour = ({ minuteOfDay }: Minute, hours: ReadonlySet<number>): boolean =>
  hours.size === 0 || hours.has(Math.floor(minuteOfDay / 60));

function heldLately(days: readonly PastDay<Held>[], minute: Minute): HeldLately {
  const wanted = wantedC(minute);
  const past = days.slice(-SEEN.days).map(({ fact }) => fact);
  const starts = past.flatMap(({ startsC }) => startsC);
  const hottest = past.flatMap(({ hottestC }) => hottestC ?? []);
  return {
    startC: starts.length < SEEN.least ? wanted : quantile(starts, 0.5),
    hottestC:
      hottest.length < SEEN.least ? wanted : Math.min(quantile(hottest, 0.5), wanted + SEEN.mostK),
    hours: new Set(past.flatMap(({ hours }) => hours)),
    lossWPerK: past.at(-1)?.lossWPerK ?? minute.settings.tub.lossWPerK,
  };
}

/**
 * Power was paid for and the tub did not grow warmer by it, look after look. That it warms again is shown
 * only by hours in which the sun did not.
 */
function heatsNothing(
  minute: Minute,
  memory: Memory,
  lossWPerK: number,
  { nothingBelow, warmsAbove }: typeof LIMITS,
): Present | null {
  const isLook = minute.t % LOOK_EVERY_MS === 0;
  if (!isLook && memory.sign !== 'heats-nothing') return null;
  const warming = warmingOf(minute, memory.calmMin, lossWPerK);
  const isVain = memory.drawsMin > 0 && warming !== null && warming.share < nothingBelow;
  if (isLook && isVain) memory.sign = 'heats-nothing';
  else if (isLook && memory.sign === 'heats-nothing') {
    const alone = warmingOf(minute, memory.stillMin, lossWPerK);
    if (alone && alone.share > warmsAbove) memory.sign = null;
  }
  if (memory.sign !== 'heats-nothing' || !isVain) return null;
  return {
    since: minute.t - warming.minutes * MINUTE,
    evidence: {
      sign: memory.sign,
      backupKwh: warming.kwh,
      minutes: warming.minutes,
      riseK: warming.riseK,
      expectedRiseK: warming.expectedK,
      tubC: minute.tubC,
    },
  };
}

/** What the backup took over the last calm hours, and what became of it; null where too little to tell. */
function warmingOf(minute: Minute, calmMin: number, lossWPerK: number) {
  const { settings, airC } = minute;
  const tubC = minute.tubC!;
  const whPerK = tubCapacityWhPerK(settings.tub.litres);
  const { kind, efficiency } = settings.backup;
  const gives = kind === 'heat-pump' ? Math.max(1, HEAT_PUMP_SHARE * efficiency) : efficiency;
  const stepK = minute.heard['tub/temperature']?.stepK ?? 0;
  const lostW = lossWPerK * Math.max(0, tubC - (airC ?? tubC - USUAL_ABOVE_AIR_K));
  for (const minutes of PAID.windowsMin) {
    const before = minute.ago('tubC', minutes);
    const kwh = takenKwh(minute, minutes);
    if (calmMin < minutes || before === null || kwh === null) return null;
    const [givenWh, lostWh] = [1000 * kwh * gives, (lostW * minutes) / 60];
    const expectedK = (givenWh - lostWh) / whPerK;
    if (lostWh > LOST_SHARE * givenWh) continue;
    if (kwh < PAID.kwh || expectedK < Math.max(PAID.expectedK, PAID.steps * stepK)) continue;
    const riseK = tubC - before;
    return { minutes, kwh, riseK, expectedK, share: riseK / expectedK };
  }
  return null;
}

/** Electricity or heat that the backup took over some minutes [kWh]. */
function takenKwh(minute: Minute, minutes: number): number | null {
  const before = minute.ago('backupKwh', minutes);
  if (minute.backupKwh !== null && before !== null && minute.backupKwh >= before)
    return minute.backupKwh - before;
  const power = minute.over('backupW', minutes);
  return power && (power.mean * minutes) / 60_000;
}

/** It heats on though the tub is well above what is wanted. */
function neverStops(minute: Minute, memory: Memory, { hotMin }: typeof LIMITS): Present | null {
  if (memory.hotMin < hotMin) return null;
  memory.sign = 'never-stops';
  return {
    severity: minute.tubC! >= HOT_C ? 'danger' : 'act',
    since: minute.t - memory.hotMin * MINUTE,
    evidence: {
      sign: memory.sign,
      tubC: minute.tubC,
      wantedC: wantedC(minute),
      backupW: minute.backupW,
      minutes: memory.hotMin,
    },
  };
}

/** The tub is cold, the backup may heat, and takes nothing. */
function noPower(
  minute: Minute,
  memory: Memory,
  { hours }: HeldLately,
  { coldMin }: typeof LIMITS,
): Present | null {
  if (memory.coldMin < (hours.size === 0 ? NEVER_SEEN_MIN : coldMin)) return null;
  memory.sign = 'no-power';
  return {
    since: minute.t - Math.min(memory.coldMin * MINUTE, 24 * HOUR),
    evidence: {
      sign: memory.sign,
      tubC: minute.tubC,
      wantedC: wantedC(minute),
      backupW: minute.backupW,
      minutes: memory.coldMin,
    },
  };
}

/** Whether what was wrong has plainly ended. */
function isWell(minute: Minute, memory: Memory, { hotEndsAboveK }: typeof LIMITS): boolean {
  const { sign, drawsMin, restsMin } = memory;
  if (sign === 'heats-nothing') return false;
  if (sign === 'never-stops') {
    const isOver = restsMin >= STOPPED_MIN || minute.tubC! < wantedC(minute) + hotEndsAboveK;
    if (isOver) memory.sign = null;
    return isOver;
  }
  if (sign === 'no-power') {
    if (drawsMin < 10) return false;
    memory.sign = null;
  }
  return true;
}

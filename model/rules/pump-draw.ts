import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import type { FaultId } from './fault-id.ts';
import type { Daily, PastDay } from './rule.ts';

/** A pump that draws less than this has no power. [W] */
const NO_POWER_W = 1;
/** Under the start current, and while the pump fills. [min] */
const SETTLES_MIN = 2;
const RESTED_MIN = 5;
const REFERENCE_DAYS = 10;
const LEAST_MINUTES = 20;
const MOST_MINUTES = 600;
/** A pump whose draw lies this far apart within a day is driven at several speeds: [share of its middle] */
const STEADY = { low: 0.75, high: 1.35 };
/** A pump on its own panel is judged only near its full voltage: [share of the usual] */
const FULL_VOLTAGE = 0.75;
const HELD = 0.5;

/** While one of these stands nothing that the pump draws is usual. */
const wrong: readonly FaultId[] = ['pump-power-low', 'pump-power-high', 'running-without-flow'];

interface Gathered {
  drawn: number[];
  restingW: number[];
  volts: number[];
}

/** What the pump drew on a day with water moving. */
export interface DrawFact {
  /** W; of a pump on its own panel W/V². */
  drawn: number;
  low: number;
  high: number;
  /** What the meter reads while the pump rests. [W] */
  restingW: number;
  volts: number | null;
}

/** What the pump draws just now, beside what it drew in its first days. */
export interface Draw {
  watts: number;
  usualWatts: number;
  share: number;
}

/** Whether the pump is asked to run, and has no power. */
export function hasNoPower({ states, asked, pumpW, settings }: Minute): boolean {
  const isAsked = asked ?? (settings.pump.stateIs === 'asked' && states.pumpOn === true);
  return isAsked && pumpW !== null && pumpW < NO_POWER_W && states.pumpMinutes >= SETTLES_MIN;
}

/** Whether the pump draws what a running one does although its controller does not ask: hand switch, relay. */
export function runsUnasked({ states, pumpW, settings, usual }: Minute): boolean {
  if (settings.pump.stateIs !== 'asked' || states.pumpOn !== false || pumpW === null) return false;
  return states.pumpMinutes >= SETTLES_MIN && pumpW > HELD * (usual.pumpW ?? settings.pump.watts);
}

/** What both rules about the pump's power keep of a day. */
export const drawDaily: Daily<Gathered, DrawFact> = {
  begin: () => ({ drawn: [], restingW: [], volts: [] }),
  add(gathered, minute) {
    const { states, pumpW, pumpV } = minute;
    if (pumpW === null || states.pumpOn === null) return;
    if (!states.pumpOn) {
      if (
        states.pumpMinutes > RESTED_MIN &&
        !runsUnasked(minute) &&
        gathered.restingW.length < MOST_MINUTES
      )
        gathered.restingW.push(pumpW);
      return;
    }
    const drawn = drawnBy(minute);
    if (states.settling || drawn === null || gathered.drawn.length >= MOST_MINUTES) return;
    if (wrong.some(minute.isTold)) return; // or a pump that is mended would be odd in its turn
    gathered.drawn.push(drawn);
    if (pumpV !== null) gathered.volts.push(pumpV);
  },
  close({ drawn, restingW, volts }) {
    if (drawn.length < LEAST_MINUTES) return null;
    return {
      drawn: quantile(drawn, 0.5),
      low: quantile(drawn, 0.1),
      high: quantile(drawn, 0.9),
      restingW: restingW.length < LEAST_MINUTES ? 0 : quantile(restingW, 0.5),
      volts: volts.length < LEAST_MINUTES ? null : quantile(volts, 0.9),
    };
  },
};

/** What is compared: its power, or of a pump on its own panel, that at one volt. */
function drawnBy({ pumpW, pumpV, settings }: Minute): number | null {
  if (settings.pump.supply === 'mains') return pumpW;
  return pumpW === null || pumpV === null || pumpV <= 0 ? null : pumpW / pumpV ** 2;
}

/** The draw of a pump that has power; null where there is nothing to compare it with, or it proves nothing. */
export function drawOf(minute: Minute, days: readonly PastDay<DrawFact>[]): Draw | null {
  const { states, pumpV, pumpW, settings } = minute;
  const drawn = drawnBy(minute);
  if (drawn === null || pumpW === null || states.pumpMinutes < SETTLES_MIN) return null;
  const first = days.slice(0, REFERENCE_DAYS).map(({ fact }) => fact);
  const isSteady = first.every(
    ({ drawn: middle, low, high }) => low >= STEADY.low * middle && high <= STEADY.high * middle,
  );
  if (first.length === 0 || !isSteady) return null;
  const middle = (of: (fact: DrawFact) => number) => quantile(first.map(of), 0.5);
  const isMains = settings.pump.supply === 'mains';
  const resting = isMains ? middle(({ restingW }) => restingW) : 0;
  const usual = middle((fact) => fact.drawn) - resting;
  if (!(usual > 0)) return null;
  const share = (drawn - resting) / usual;
  // a rotor that is held draws power and does not turn
  const isHeld = settings.pump.stateIs === 'turning' && states.pumpOn === false && share > HELD;
  if (states.pumpOn !== true && !isHeld) return null;
  const fullV = middle(({ volts }) => volts ?? 0);
  if (!isMains && (pumpV ?? 0) < FULL_VOLTAGE * fullV) return null;
  return { watts: pumpW, usualWatts: pumpW / Math.max(0.01, share), share };
}

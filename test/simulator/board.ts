import type { Reading } from '../../model/readings.ts';
import { Chance } from './chance.ts';
import type { Flaws } from './flaws.ts';
import type { BoardTraits } from './house.ts';
import type { InstrumentSet } from './instruments.ts';
import { STEP_S } from './plant.ts';
import type { Trouble } from './trouble.ts';

/** A reading and when it came to whoever listens [ms]. */
export interface ArrivedReading extends Reading {
  arrivedAt: number;
}

const DAY_S = 86_400;
const POWER_ON_C = 85;
const NO_ANSWER_C = -127;
const NEWS_K = 0.1; // change that a board which sends on change finds worth telling

type Instrument = InstrumentSet['instruments'][number];

interface Told {
  value: number;
  at: number;
}

/** A board that asks its sensors in rounds and sends what they say, when it can. */
export class Board {
  private readonly tub: string;
  private readonly traits: BoardTraits;
  private readonly mine: Instrument[];
  private readonly flawed: boolean;
  private readonly statesAtOnce: boolean;
  private readonly chance: Chance;
  private readonly told = new Map<string, Told>();
  private nextRound: number;
  private downUntil = Number.NEGATIVE_INFINITY;
  private outUntil = Number.NEGATIVE_INFINITY;
  private fresh = false;

  constructor(
    seed: number,
    tub: string,
    traits: BoardTraits,
    set: InstrumentSet,
    flaws: Flaws,
    statesAtOnce: boolean,
    t: number,
  ) {
    this.tub = tub;
    this.traits = traits;
    this.mine = set.instruments.filter(({ point }) => traits.points.includes(point));
    this.flawed = flaws.has('outages');
    this.statesAtOnce = statesAtOnce || !flaws.has('states');
    this.chance = new Chance(seed, `board ${traits.name}`);
    this.nextRound = t + 1000 * STEP_S * this.chance.whole(0, traits.everyS / STEP_S);
  }

  /** What it sends after the step that ended at `t`. */
  step(t: number, trouble: Trouble, send: (reading: ArrivedReading) => void): void {
    if (this.flawed) this.misfortune(t, trouble);
    if (t < this.downUntil) return;
    const round = t >= this.nextRound;
    if (round) this.nextRound = t + 1000 * this.traits.everyS;
    for (const instrument of this.mine) {
      if (!round && !(instrument.flag && this.statesAtOnce)) continue;
      const value = this.valueOf(instrument, t, trouble);
      if (value === null || !this.worthTelling(instrument, value, t)) continue;
      this.told.set(instrument.point, { value, at: t });
      this.send(instrument.point, t, value, trouble.clockMs, send);
    }
    if (round) this.fresh = false;
  }

  private misfortune(t: number, trouble: Trouble): void {
    const { chance, traits } = this;
    const perStep = STEP_S / DAY_S;
    if (chance.happens((traits.restartsPerDay + trouble.restartsPerDay) * perStep)) this.restart(t);
    if (t >= this.outUntil && chance.happens(traits.outagesPerDay * perStep)) {
      this.outUntil = t + 60_000 * Math.min(24 * 60, chance.logNormal(traits.outageMin, 3));
      // Half of them are power that went, the others a link that went.
      if (chance.happens(0.5)) {
        this.restart(this.outUntil);
      }
    }
  }

  private restart(t: number): void {
    this.downUntil = t + 1000 * this.chance.between(5, 60);
    this.fresh = true;
    for (const instrument of this.mine) instrument.restart?.();
  }

  private valueOf(instrument: Instrument, t: number, trouble: Trouble): number | null {
    let value = instrument.read();
    if (this.flawed && instrument.digital) {
      if (this.fresh && this.chance.happens(0.7)) value = POWER_ON_C;
      else if (this.chance.happens(this.traits.dropouts)) value = NO_ANSWER_C;
    }
    const says = trouble.says.get(instrument.point);
    return says ? says(value, t) : value;
  }

  private worthTelling({ point, flag }: Instrument, value: number, t: number): boolean {
    const last = this.told.get(point);
    if (!last) return true;
    const old = t - last.at >= 60_000 * this.traits.heartbeatMin;
    if (flag) return old || value !== last.value || !this.statesAtOnce;
    return !this.traits.onChange || old || Math.abs(value - last.value) >= NEWS_K;
  }

  private send(
    point: string,
    t: number,
    value: number,
    clockMs: number,
    send: (reading: ArrivedReading) => void,
  ): void {
    const { chance, traits, tub } = this;
    // a wrong clock shows where boards stamp their readings themselves: then they all do
    const own = traits.stamps === 'board' || clockMs !== 0;
    let arrivedAt = t + 50 + Math.floor(1000 * chance.exponential(0.3));
    if (this.flawed && t < this.outUntil) {
      if (!(own && traits.keeps)) return;
      arrivedAt = Math.round(this.outUntil) + 500;
    } else if (this.flawed && own && chance.happens(traits.late)) {
      arrivedAt += Math.round(60_000 * chance.between(1, 30));
    }
    const stamp = own ? t + Math.round(clockMs + (this.flawed ? traits.clockMs : 0)) : arrivedAt;
    // What is stamped on arrival is right whatever the board's clock shows.
    const reading = { tub, point, t: stamp, value: Math.round(value * 1e5) / 1e5, arrivedAt };
    send(reading);
    if (this.flawed && own && chance.happens(traits.repeats)) {
      send({ ...reading, arrivedAt: arrivedAt + Math.round(1000 * chance.between(1, 60)) });
    }
  }
}

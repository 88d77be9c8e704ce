import { Chance } from './chance.ts';
import type { House } from './house.ts';
import { type LocalClock, laterDate } from './local-clock.ts';

const MINUTE = 60_000; // ms

/** What people did, for a log and for judging: spans of instants [ms]. */
export interface Happening {
  kind: 'bathing' | 'topped-up' | 'away';
  from: number;
  to: number;
}

interface Bath {
  from: number;
  to: number;
  bathers: number;
}

/**
 * What people do with the tub: baths in the evening, the cover lifted for a look, the hose when water is
 * missing, days away. It depends on seed and date, not on how warm the water is, so that tub and twin
 * see the same.
 */
export class People {
  readonly happenings: Happening[] = [];
  private readonly seed: number;
  private readonly house: House;
  private readonly clock: LocalClock;
  private baths: Bath[] = [];
  private looks: { from: number; to: number }[] = [];
  private nextPlan = Number.NEGATIVE_INFINITY;
  private hoseAt = Number.POSITIVE_INFINITY;
  private hose: Happening | null = null;
  private carriedKg = 0; // by those who just got out

  constructor(seed: number, house: House, clock: LocalClock) {
    this.seed = seed;
    this.house = house;
    this.clock = clock;
  }

  /** What is so at `t`, for a step of some seconds; `missingKg` is what the tub lacks. */
  at(t: number, seconds: number, missingKg: number) {
    if (t >= this.nextPlan) this.plan(t, missingKg);
    const { people } = this.house;
    const bath = this.baths.find(({ from, to }) => t >= from && t < to);
    const bathers = bath?.bathers ?? 0;
    if (bath && t + 1000 * seconds >= bath.to) this.carriedKg = bathers * people.carriedKg;
    const splashKg = (bathers * 0.03 * seconds) / 60;
    const carriedKg = splashKg + this.carriedKg;
    this.carriedKg = 0;
    return {
      coverOpen: bath !== undefined || this.looks.some(({ from, to }) => t >= from && t < to),
      bathers,
      batherW: bathers * people.batherW,
      carriedKg,
      hoseKg: this.hoseKg(t, seconds, missingKg),
    };
  }

  private hoseKg(t: number, seconds: number, missingKg: number): number {
    if (t < this.hoseAt) return 0;
    if (missingKg <= 0.5) {
      this.hoseAt = Number.POSITIVE_INFINITY;
      this.hose = null;
      return 0;
    }
    if (!this.hose) {
      this.hose = { kind: 'topped-up', from: t, to: t };
      this.happenings.push(this.hose);
    }
    this.hose.to = t + 1000 * seconds;
    return Math.min(missingKg, (this.house.people.hoseLPerMin * seconds) / 60);
  }

  /** Plans a local day; yesterday's bath may still run past midnight. */
  private plan(t: number, missingKg: number): void {
    const date = this.clock.date(t);
    const start = this.clock.startOf(date);
    const { people, tub } = this.house;
    const chance = new Chance(this.seed, `day ${date}`);
    this.nextPlan = this.clock.startOf(laterDate(date, 1));
    this.baths = this.baths.filter(({ to }) => to > t);
    this.looks = [];
    const away = this.away(date);
    if (away) this.noteAway(start);
    const bath = {
      from: start + chance.between(18 * 60, 22 * 60) * MINUTE,
      minutes: chance.between(20, 120),
      bathers: chance.whole(1, tub.seats),
    };
    if (chance.happens(people.bathShare) && !away && bath.from >= t) {
      const to = bath.from + bath.minutes * MINUTE;
      this.baths.push({ from: bath.from, to, bathers: bath.bathers });
      this.happenings.push({ kind: 'bathing', from: bath.from, to });
    }
    const look = start + chance.between(9 * 60, 17 * 60) * MINUTE;
    if (chance.happens(0.15) && !away) {
      this.looks.push({ from: look, to: look + chance.between(1, 8) * MINUTE });
    }
    const hoseAt = start + chance.between(10 * 60, 17 * 60) * MINUTE;
    if (missingKg > people.topUpFromL && !away && hoseAt >= t) this.hoseAt = hoseAt;
  }

  private noteAway(start: number): void {
    const last = this.happenings.findLast(({ kind }) => kind === 'away');
    if (last?.to === start) last.to = this.nextPlan;
    else this.happenings.push({ kind: 'away', from: start, to: this.nextPlan });
  }

  /** Away for some days of a block of thirty, by the block alone. */
  private away(date: string): boolean {
    const day = Math.round(Date.parse(date) / 86_400_000);
    const chance = new Chance(this.seed, `away ${Math.floor(day / 30)}`);
    if (!chance.happens(this.house.people.awayShare)) return false;
    const first = chance.whole(0, 20);
    return day % 30 >= first && day % 30 < first + chance.whole(2, 9);
  }
}

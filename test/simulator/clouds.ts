import { type Chance, Stray } from './chance.ts';

export type Spell = 'clear' | 'broken' | 'overcast';

/** What clouds leave of a clear sky's light. */
export interface CloudLight {
  spell: Spell;
  beam: number; // share of the beam
  diffuse: number; // of the clear sky's whole light, as diffuse light, beside what the sky itself gives
  open: number; // share of the sky without cloud
}

const meanHours: Record<Spell, number> = { clear: 18, broken: 9, overcast: 14 };
const HOUR = 3600; // s

/** Spells of clear, broken and overcast sky, and within a broken one cloud after cloud. */
export class Clouds {
  private readonly chance: Chance;
  private readonly cloudy: number;
  private readonly haze: number;
  private readonly thickness: Stray;
  private readonly veil: Stray;
  private spell: Spell;
  private spellLeftS = 0;
  private beneath = false;
  private cloudLeftS = 0;
  private cover = 0.5;
  private depth = 0.2;
  private readonly now: CloudLight = { spell: 'clear', beam: 1, diffuse: 0, open: 1 };

  constructor(chance: Chance, cloudy: number, haze: number) {
    this.chance = chance;
    this.cloudy = cloudy;
    this.haze = haze;
    this.thickness = new Stray(chance, 0.5, 40 * 60);
    this.veil = new Stray(chance, 0.03, 2 * HOUR);
    this.spell = this.nextSpell();
  }

  advance(seconds: number): CloudLight {
    this.spellLeftS -= seconds;
    if (this.spellLeftS <= 0) this.spell = this.nextSpell();
    const thick = this.thickness.advance(seconds);
    const veil = this.veil.advance(seconds);
    const target = this.lightOf(seconds, thick, veil);
    // A cloud's edge takes half a minute to pass.
    const towards = 1 - Math.exp(-seconds / 25);
    const { now } = this;
    now.spell = this.spell;
    now.beam += (target.beam - now.beam) * towards;
    now.diffuse += (target.diffuse - now.diffuse) * towards;
    now.open += (target.open - now.open) * (1 - Math.exp(-seconds / 1200));
    return now;
  }

  private lightOf(seconds: number, thick: number, veil: number) {
    if (this.spell === 'clear') {
      return { beam: 1 - Math.max(0, this.haze + veil), diffuse: 0.3 * this.haze, open: 1 };
    }
    if (this.spell === 'overcast') {
      return { beam: 0, diffuse: Math.min(0.6, 0.22 * Math.exp(thick)), open: 0 };
    }
    this.cloudLeftS -= seconds;
    if (this.cloudLeftS <= 0) this.nextCloud();
    return {
      beam: this.beneath ? this.depth : 1 - Math.max(0, this.haze + veil),
      diffuse: this.beneath ? 0.16 : 0.08,
      open: 1 - this.cover,
    };
  }

  private nextSpell(): Spell {
    const { chance, cloudy } = this;
    const x = chance.unit();
    const clear = (1 - cloudy) ** 2;
    const next = x < clear ? 'clear' : x < (1 + clear) / 2 ? 'broken' : 'overcast';
    this.spellLeftS = HOUR * Math.max(0.5, chance.exponential(meanHours[next]));
    this.cover = chance.between(0.2, 0.8);
    return next;
  }

  private nextCloud(): void {
    const { chance } = this;
    this.beneath = !this.beneath;
    const meanS = 420 * (this.beneath ? this.cover : 1 - this.cover);
    this.cloudLeftS = Math.max(15, chance.exponential(meanS));
    this.depth = chance.between(0, 0.4);
  }
}

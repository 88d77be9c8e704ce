import { Chance, Stray } from './chance.ts';
import { Clouds, type Spell } from './clouds.ts';
import type { Climate, House } from './house.ts';
import { type SunPlace, sunPlace } from './sun-path.ts';

/** The weather at one moment, the same for the tub and its twin. */
export interface Weather {
  sun: SunPlace;
  spell: Spell;
  /** Square to the sun [W/m²]. */
  beamWm2: number;
  /** From the sky on level ground [W/m²]. */
  diffuseWm2: number;
  /** Sun and sky on level ground [W/m²]. */
  globalWm2: number;
  airC: number;
  /** What the sky radiates like. */
  skyC: number;
  windMs: number;
  raining: boolean;
  humidity: number;
  /** From the hose. */
  mainsC: number;
}

const DAY = 86_400_000; // ms
const YEAR = 365.2422 * DAY;

/**
 * Weather as it comes, from a house's climate and seed: spells of sky, fronts, days and seasons.
 *
 * Clear beam by Hottel's transmittance of 1976 with its light from the sky by Liu and Jordan, which
 * nothing in the program uses; clouds take from the beam and give some of it back as light of the sky.
 */
export class WeatherMaker {
  private readonly place: House['place'];
  private readonly climate: Climate;
  private readonly clouds: Clouds;
  private readonly chance: Chance;
  private readonly fronts: Stray;
  private readonly gusts: Stray;
  private openDays = 0.5; // mean openness of the sky over the last hours
  private rainLeftS = 0;
  private dryLeftS = 0;
  private readonly now: Weather;

  constructor(seed: number, house: House, t: number) {
    this.place = house.place;
    this.climate = house.climate;
    this.chance = new Chance(seed, 'rain');
    this.clouds = new Clouds(new Chance(seed, 'clouds'), house.climate.cloudy, house.climate.haze);
    this.fronts = new Stray(new Chance(seed, 'fronts'), house.climate.frontsK, 2.5 * 86_400);
    this.gusts = new Stray(new Chance(seed, 'wind'), 0.6, 5 * 3600);
    this.now = {
      sun: sunPlace(t, this.place.latitude, this.place.longitude),
      spell: 'clear',
      beamWm2: 0,
      diffuseWm2: 0,
      globalWm2: 0,
      airC: 10,
      skyC: 0,
      windMs: 2,
      raining: false,
      humidity: 0.7,
      mainsC: 10,
    };
  }

  /** The weather some seconds later; the object is used again. */
  advance(t: number, seconds: number): Weather {
    const { now, place } = this;
    const light = this.clouds.advance(seconds);
    now.sun = sunPlace(t, place.latitude, place.longitude);
    now.spell = light.spell;
    this.openDays += (light.open - this.openDays) * (1 - Math.exp(-seconds / (5 * 3600)));
    this.shine(light.beam, light.diffuse);
    this.air(t, seconds, light.open);
    this.rain(seconds);
    return now;
  }

  private shine(beamShare: number, cloudLight: number): void {
    const { now } = this;
    const { sin, spaceWm2 } = now.sun;
    if (sin <= 0.005) {
      [now.beamWm2, now.diffuseWm2, now.globalWm2] = [0, 0, 0];
      return;
    }
    const km = Math.min(2.5, this.place.elevationM / 1000);
    const a0 = 0.4237 - 0.00821 * (6 - km) ** 2;
    const a1 = 0.5055 + 0.00595 * (6.5 - km) ** 2;
    const k = 0.2711 + 0.01858 * (2.5 - km) ** 2;
    const through = a0 + a1 * Math.exp(-k / Math.max(sin, 0.03));
    const skyWm2 = spaceWm2 * sin * (0.271 - 0.294 * Math.min(0.85, through));
    const clearWm2 = spaceWm2 * through * sin + skyWm2;
    now.beamWm2 = spaceWm2 * through * beamShare * Math.min(1, sin / 0.03);
    now.diffuseWm2 = skyWm2 * (0.15 + 0.85 * Math.min(1, beamShare)) + cloudLight * clearWm2;
    now.globalWm2 = now.beamWm2 * sin + now.diffuseWm2;
  }

  private air(t: number, seconds: number, open: number): void {
    const { now, climate, place } = this;
    const warmest = place.latitude < 0 ? Date.UTC(2000, 0, 22) : Date.UTC(2000, 6, 24);
    const season = Math.cos((2 * Math.PI * (t - warmest)) / YEAR);
    const seasonalC = climate.meanC + climate.seasonK * season;
    const solarDays = (t + (place.longitude / 360) * DAY) / DAY;
    const swingK = climate.dayK * (0.25 + 0.75 * this.openDays);
    now.airC =
      seasonalC +
      this.fronts.advance(seconds) +
      swingK * Math.cos(2 * Math.PI * (solarDays - 14.8 / 24));
    now.mainsC = Math.max(5, climate.meanC + 0.5 * climate.seasonK * season);
    now.skyC = now.airC - 3 - 15 * open;
    const afternoon = 1 + 0.4 * Math.cos(2 * Math.PI * (solarDays - 14.5 / 24));
    now.windMs = climate.windMs * afternoon * Math.exp(this.gusts.advance(seconds));
    const daily = 0.12 * Math.cos(2 * Math.PI * (solarDays - 4 / 24));
    now.humidity = Math.min(0.98, Math.max(0.25, climate.humidity + daily));
  }

  /** Showers under an overcast sky. */
  private rain(seconds: number): void {
    const { now, chance } = this;
    if (now.spell !== 'overcast') {
      now.raining = false;
      return;
    }
    if (now.raining) this.rainLeftS -= seconds;
    else this.dryLeftS -= seconds;
    if (now.raining ? this.rainLeftS <= 0 : this.dryLeftS <= 0) {
      now.raining = !now.raining;
      if (now.raining) this.rainLeftS = chance.exponential(1.5 * 3600);
      else this.dryLeftS = chance.exponential(3 * 3600);
    }
  }
}

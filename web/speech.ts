import { computed, signal } from '@preact/signals';
import { en } from '../model/words/en.ts';
import { type Manner, speakerOf } from '../model/words/speaker.ts';
import type { Words } from '../model/words/words.ts';
import { keep, kept } from './kept.ts';
import { now } from './live.ts';

/** Words and units for this phone: first by its language, then as its owner chose. */

const languages: Words[] = [en];

const wished = navigator.languages.map((tag) => new Intl.Locale(tag));

export const words: Words =
  wished
    .map(({ language }) => languages.find((words) => words.language === language))
    .find((words) => words !== undefined) ?? en;

const region = (wished[0] ?? new Intl.Locale('en')).maximize().region ?? '';

/** The words' language as it is spoken where the phone is at home: dates and numbers follow both. */
const locale =
  wished.find(({ language }) => language === words.language)?.toString() ??
  `${words.language}-${region}`;

const fahrenheitRegions = 'US PR GU VI AS MP UM BS BZ KY PW FM MH LR'.split(' ');
const gallonRegions = 'US PR GU VI AS MP UM'.split(' ');

export type Units = Pick<Manner, 'temperature' | 'volume' | 'hours'>;

function unitsOfRegion(): Units {
  const clock = new Intl.DateTimeFormat(wished[0]?.toString(), { hour: 'numeric' });
  return {
    temperature: fahrenheitRegions.includes(region) ? 'F' : 'C',
    volume: gallonRegions.includes(region) ? 'gal' : 'l',
    hours: clock.resolvedOptions().hour12 ? 12 : 24,
  };
}

function keptUnits(): Partial<Units> {
  const units: Partial<Units> = {};
  const temperature = kept('temperature');
  const volume = kept('volume');
  const hours = kept('hours');
  if (temperature === 'C' || temperature === 'F') units.temperature = temperature;
  if (volume === 'l' || volume === 'gal') units.volume = volume;
  if (hours === '12' || hours === '24') units.hours = hours === '12' ? 12 : 24;
  return units;
}

export const units = signal<Units>({ ...unitsOfRegion(), ...keptUnits() });

export function chooseUnit<K extends keyof Units>(unit: K, choice: Units[K]): void {
  units.value = { ...units.value, [unit]: choice };
  keep(unit, String(choice));
}

export const ownTimeZone = Intl.DateTimeFormat().resolvedOptions().timeZone;

/** Hours and dates are the tub's own, wherever the phone is. */
export const timeZone = computed(() => now.value?.figures.timeZone ?? ownTimeZone);

export const say = computed(() => speakerOf({ locale, timeZone: timeZone.value, ...units.value }));

const unit = /(\d) (°[CF]|kWh|kW|W|V|h|min|s|l|gal|l\/min|gal\/min|%|days)(?![\w/])/g;

/** A number and its unit stay on one line. */
export const unbroken = (text: string): string => text.replace(unit, '$1\u00a0$2');

import type { AllFaultWords } from '../fault-words.ts';

export const sensorsWords: Pick<
  AllFaultWords,
  | 'sensor-open'
  | 'sensor-short'
  | 'power-on-value'
  | 'frozen-reading'
  | 'jumping-reading'
  | 'tub-sensor-out-of-water'
  | 'to-and-from-swapped'
  | 'collector-sensor-loose'
  | 'pair-offset'
  | 'outdoor-sensor-in-sun'
  | 'irradiance-sensor-dirty'
  | 'controller-disagrees'
> = {
  'sensor-open': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'sensor-short': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'power-on-value': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'frozen-reading': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'jumping-reading': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'tub-sensor-out-of-water': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'to-and-from-swapped': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'collector-sensor-loose': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'pair-offset': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'outdoor-sensor-in-sun': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'irradiance-sensor-dirty': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'controller-disagrees': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
};

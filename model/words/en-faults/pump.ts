import type { AllFaultWords } from '../fault-words.ts';

export const pumpWords: Pick<
  AllFaultWords,
  | 'pump-power-high'
  | 'pump-power-low'
  | 'pump-not-running'
  | 'running-without-flow'
  | 'collector-stagnating'
  | 'pump-on-at-night'
  | 'flow-sensor-at-zero'
  | 'flow-while-off'
  | 'flow-too-high'
  | 'flow-falling'
  | 'flow-sensor-drifting'
  | 'short-cycling'
  | 'late-start'
> = {
  'pump-power-high': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'pump-power-low': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'pump-not-running': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'running-without-flow': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'collector-stagnating': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'pump-on-at-night': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'flow-sensor-at-zero': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'flow-while-off': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'flow-too-high': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'flow-falling': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'flow-sensor-drifting': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'short-cycling': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'late-start': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
};

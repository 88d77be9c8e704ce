import type { AllFaultWords } from '../fault-words.ts';

export const heatWords: Pick<
  AllFaultWords,
  | 'night-back-flow'
  | 'heat-thrown-away'
  | 'one-collector-dead'
  | 'pipes-losing-heat'
  | 'array-under-performing'
  | 'array-too-small'
  | 'limit-reached-often'
> = {
  'night-back-flow': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'heat-thrown-away': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'one-collector-dead': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'pipes-losing-heat': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'array-under-performing': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'array-too-small': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'limit-reached-often': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
};

import type { AllFaultWords } from '../fault-words.ts';

export const dataPathWords: Pick<
  AllFaultWords,
  'broker-lost' | 'device-silent' | 'sensor-silent' | 'clock-wrong'
> = {
  'broker-lost': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'device-silent': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'sensor-silent': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
  'clock-wrong': {
    says: () => 'TO BE SAID',
    first: 'TO BE SAID',
    shows: () => 'TO BE SAID',
    checks: [],
    over: 'TO BE SAID',
  },
};

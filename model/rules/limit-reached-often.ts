import type { Finding, PastDay, Rule } from './rule.ts';

const LIMITS = {
  /** How long the pump rests on a day that counts [min]. */
  restMin: 60,
  days: 5,
  of: 7,
  goneDays: 2,
};

/** On most days the tub is full while the sun could still give: a finding, not a fault. */
export const limitReachedOften: Rule<
  unknown,
  { minutes: number; sunny: number },
  { minutes: number },
  typeof LIMITS
> = {
  fault: 'limit-reached-often',
  severity: 'note',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [
    ['goneDays', 'of'],
    ['days', 'of'],
  ],
  needs: [
    ['tub/temperature'],
    ['collector/temperature'],
    ['pump/running', 'pump/power', 'pump/flow'],
  ],
  mutedBy: ['water-too-hot', 'tub-overheated-by-sun', 'tub-sensor-out-of-water'],
  daily: {
    begin: () => ({ minutes: 0, sunny: 0 }),
    add(gathered, { states, differenceK, settings }) {
      if (!states.sunPossible || states.drained || differenceK === null) return;
      gathered.sunny++;
      const wouldRun = differenceK >= settings.controller.switchOnK;
      if (states.limitPause && states.pumpOn === false && wouldRun) gathered.minutes++;
    },
    close: ({ minutes, sunny }) => (sunny > 0 ? { minutes } : null),
    judge(days: readonly PastDay<{ minutes: number }>[], _, limits): Finding {
      const { restMin, of, goneDays } = limits;
      const week = days.slice(-of);
      if (week.length < of) return 'blind';
      const often = week.filter(({ fact }) => fact.minutes > restMin);
      if (often.length <= goneDays) return 'gone';
      if (often.length < limits.days) return 'between';
      const hours = week.reduce((sum, { fact }) => sum + fact.minutes, 0) / 60;
      return { since: often[0]!.from, evidence: { days: often.length, of, hours } };
    },
  },
};

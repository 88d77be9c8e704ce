import { addDays } from '../../model/civil-time.ts';
import type { AnyRule, Finding, PastDay, PresentDay } from '../../model/rules/rule.ts';
import { loopDays } from './loop-days.ts';

const DAY = 86_400_000; // ms

/** Days one after the other, of which a rule kept this. */
export const pastDays = <Fact>(facts: readonly Fact[], first = '2026-01-01'): PastDay<Fact>[] =>
  facts.map((fact, i) => {
    const date = addDays(first, i);
    const from = Date.parse(date);
    return { date, from, to: from + DAY, fact };
  });

const { settings } = loopDays({ days: 0 });

/** What a rule that looks at nothing but its own facts says when the newest of these days is over. */
export function judgedBy(rule: AnyRule, facts: readonly unknown[]): Finding {
  const days = pastDays(facts);
  const { date = '2026-01-01', to: t = Date.parse('2026-01-01') } = days.at(-1) ?? {};
  const now = { t, date, settings } as PresentDay;
  return rule.daily!.judge!(days, now, rule.limits!);
}

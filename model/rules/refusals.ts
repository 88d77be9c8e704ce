import type { TubSettings } from '../tub-settings.ts';
import type { AnyRule } from './rule.ts';

/** Why a threshold or delay cannot be had; `path` is a JSON Pointer without its first slash. */
export interface Refusal {
  path: string;
  why: string;
}

type Said = NonNullable<TubSettings['faults'][keyof TubSettings['faults']]>;

/** What is wrong with the thresholds and delays that a set-up has for a rule. */
export function refusals(rule: AnyRule, { onMin = 0, limits = {} }: Said): Refusal[] {
  const known: Record<string, number> = rule.limits ?? {};
  const highest: Record<string, number> = rule.highest ?? {};
  const refused: Refusal[] = [];
  const refuse = (name: string, why: string) => refused.push({ path: `limits/${name}`, why });
  for (const [name, limit] of Object.entries(limits)) {
    if (!Object.hasOwn(known, name)) refuse(name, `the rule has ${listed(Object.keys(known))}`);
    else if (limit > (highest[name] ?? Number.POSITIVE_INFINITY))
      refuse(name, `more than ${highest[name]} could hurt somebody`);
    else if (limit < 0 && !name.endsWith('C')) refuse(name, 'expected 0 or more');
  }
  if (rule.highest && onMin * MINUTE > rule.onMs)
    refused.push({ path: 'onMin', why: `more than ${rule.onMs / MINUTE} could hurt somebody` });
  const all = { ...known, ...limits };
  for (const order of rule.rising ?? []) {
    const fall = order.findIndex((name, i) => i > 0 && all[name]! < all[order[i - 1]!]!);
    if (fall < 0) continue;
    const [lower, higher] = [order[fall - 1]!, order[fall]!];
    const said = Object.hasOwn(limits, higher) ? higher : lower;
    refuse(said, `${lower} (${all[lower]}) is above ${higher} (${all[higher]})`);
  }
  return refused;
}

const MINUTE = 60_000; // ms

const listed = (names: readonly string[]): string =>
  names.length === 0 ? 'no thresholds' : `the thresholds ${names.join(', ')}`;

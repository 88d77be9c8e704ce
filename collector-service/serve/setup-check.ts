import { refusals } from '../../model/rules/refusals.ts';
import { rules } from '../../model/rules/rules.ts';
import { MOST_WIRING, type Setup, setupSchema, wiringSchema } from '../../model/setup.ts';
import type { Fault } from '../errors.ts';
import { wiringFaults } from '../ingest/wiring.ts';
import { faultsOf } from './checks.ts';

/**
 * Checks a set-up document wholly: every fault is told at once, also those that no schema can say, and
 * also where the schema has refused another part.
 */
export function checkSetup(document: unknown): { setup: Setup } | { faults: Fault[] } {
  const result = setupSchema.safeParse(document);
  const faults = result.success ? limitFaults(result.data) : faultsOf(result.error);
  faults.push(...sameIds(idsIn(document)), ...wiringFaultsIn(document));
  return result.success && faults.length === 0 ? { setup: result.data } : { faults };
}

/** Tubs that bear another one's id; anything that is no text is the schema's to refuse. */
export function sameIds(ids: readonly unknown[]): Fault[] {
  const seen = new Set<string>();
  return ids.flatMap((id, i) => {
    if (typeof id !== 'string') return [];
    const again = seen.has(id);
    seen.add(id);
    return again ? [{ path: `/tubs/${i}/id`, why: 'another tub has this id' }] : [];
  });
}

/** What the rules say of the thresholds and delays that are set for them. */
const limitFaults = ({ tubs }: Setup): Fault[] =>
  tubs.flatMap(({ faults = {} }, i) =>
    rules.flatMap((rule) =>
      (faults[rule.fault] ? refusals(rule, faults[rule.fault]!) : []).map(({ path, why }) => ({
        path: `/tubs/${i}/faults/${rule.fault}/${path}`,
        why,
      })),
    ),
  );

const listIn = (document: unknown, key: 'tubs' | 'wiring'): unknown[] => {
  const list = (document as Record<string, unknown> | null | undefined)?.[key];
  return Array.isArray(list) ? list : [];
};

const idsIn = (document: unknown): unknown[] =>
  listIn(document, 'tubs').map((tub) => (tub as { id?: unknown } | null | undefined)?.id);

function wiringFaultsIn(document: unknown): Fault[] {
  // what the schema refuses for its number is looked at no further
  const wellFormed = listIn(document, 'wiring')
    .slice(0, MOST_WIRING)
    .flatMap((entry, place) => {
      const { data } = wiringSchema.safeParse(entry);
      return data ? [{ wiring: data, place }] : [];
    });
  return wiringFaults(wellFormed.map(({ wiring }) => wiring)).map(({ path, why }) => ({
    path: path.replace(/\d+/, (index) => String(wellFormed[Number(index)]!.place)),
    why,
  }));
}

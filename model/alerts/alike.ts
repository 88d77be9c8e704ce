import type { SettingsVersion, TubSettings } from '../tub-settings.ts';

/**
 * What the facts of whole days rest on: under other litres, collectors or corrections the same day would
 * have told others, so that a fault would seem to have come or gone with the change.
 */
const restsOn = ({ tub, collectors, corrections }: TubSettings): string =>
  JSON.stringify([tub.litres, collectors, corrections]);

/** Since when, up to an instant, days can be held against each other [ms]; −∞: always. */
export function alikeSince(versions: readonly SettingsVersion[], t: number): number {
  const before = versions.filter(({ from }) => from <= t);
  for (let i = before.length - 1; i > 0; i--) {
    if (restsOn(before[i]!.settings) !== restsOn(before[i - 1]!.settings)) return before[i]!.from;
  }
  return Number.NEGATIVE_INFINITY;
}

/** From when on days told other facts under one set-up than they do under another [ms]; ∞: never. */
export function unlikeFrom(
  before: readonly SettingsVersion[],
  after: readonly SettingsVersion[],
): number {
  const at = (versions: readonly SettingsVersion[], t: number) =>
    restsOn((versions.findLast(({ from }) => from <= t) ?? versions[0]!).settings);
  const changes = [...before, ...after].map(({ from }) => from).sort((a, b) => a - b);
  const first = changes.find((t) => at(before, t) !== at(after, t));
  return first ?? Number.POSITIVE_INFINITY;
}

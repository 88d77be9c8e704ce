/** MQTT topic filters (MQTT 3.1.1 §4.7). */

/** Whether every topic that `narrow` takes is taken by `wide` as well. */
export function covers(wide: string, narrow: string): boolean {
  const wideLevels = wide.split('/');
  const narrowLevels = narrow.split('/');
  for (let i = 0; i < wideLevels.length; i++) {
    if (wideLevels[i] === '#') return true; // also of the level above: a/# takes a
    if (i >= narrowLevels.length || narrowLevels[i] === '#') return false;
    if (wideLevels[i] !== '+' && wideLevels[i] !== narrowLevels[i]) return false;
  }
  return wideLevels.length === narrowLevels.length;
}

/**
 * The filters that are needed to hear all of these. Of two that overlap a broker may deliver a message
 * once for each, which would make two readings of one.
 */
export function withoutCovered(filters: Iterable<string>): Set<string> {
  const all = [...new Set(filters)];
  return new Set(
    all.filter((filter) => !all.some((other) => other !== filter && covers(other, filter))),
  );
}

/** What this phone remembers; where it may not, that lasts as long as the page. */

const prefix = 'sunsteep.';
const meanwhile = new Map<string, string>();
/** Wishes of whoever holds the phone, which tell nothing of the house. */
const wishes = ['temperature', 'volume', 'hours'];

export function kept(key: string): string | null {
  try {
    return localStorage.getItem(prefix + key) ?? meanwhile.get(key) ?? null;
  } catch {
    return meanwhile.get(key) ?? null;
  }
}

export function keep(key: string, value: string): void {
  meanwhile.set(key, value);
  try {
    localStorage.setItem(prefix + key, value);
  } catch {
    // Private windows and full storages refuse; `meanwhile` has it.
  }
}

/** Forgets all that tells of the house. */
export function forgetHouse(): void {
  const isOfHouse = (name: string) => !wishes.includes(name);
  for (const key of [...meanwhile.keys()].filter(isOfHouse)) meanwhile.delete(key);
  try {
    const names = Object.keys(localStorage).filter((name) => name.startsWith(prefix));
    for (const name of names) {
      if (isOfHouse(name.slice(prefix.length))) localStorage.removeItem(name);
    }
  } catch {
    // Where nothing can be kept there is nothing to forget.
  }
}

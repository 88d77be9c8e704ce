/** Small wishes that this phone remembers; where it may not, they last as long as the page. */

const prefix = 'sunsteep.';
const meanwhile = new Map<string, string>();

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

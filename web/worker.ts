import { effect } from '@preact/signals';
import { go } from './address.ts';
import { kept } from './kept.ts';
import { access } from './live.ts';
import { units } from './speech.ts';

/** The page's part in its worker; where the address is not HTTPS there is none, and all else works. */
export function startWorker(): void {
  const workers = isSecureContext ? navigator.serviceWorker : undefined;
  if (workers === undefined) return;
  workers.addEventListener('message', ({ data }) => {
    if (typeof data?.go === 'string') go(data.go);
  });
  // What the first view needs comes first.
  addEventListener('load', () => workers.register('/sw.js').catch(() => {}));
  effect(() => {
    const { temperature, volume, hours } = units.value;
    if (access.value === 'paired') tellManner([temperature, volume, hours, navigator.language]);
  });
}

let told: string | null = null;

/** A phone that is told by push is told in its own units and language, also once these change. */
async function tellManner(manner: unknown[]): Promise<void> {
  if (kept('told') !== 'yes' || told === manner.join()) return;
  told = manner.join();
  await (await import('./notices/known.ts')).tellManner();
}

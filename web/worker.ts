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
  addEventListener('load', () => keepFresh(workers).catch(() => {}));
  effect(() => {
    const { temperature, volume, hours } = units.value;
    if (access.value === 'not-paired') endNotices(workers);
    if (access.value === 'paired') tellManner([temperature, volume, hours, navigator.language]);
  });
}

/** How often a page that stays open asks whether there is a newer one. [ms] */
const ASKS_EVERY = 3_600_000;

/** A page on a home screen is hardly ever opened anew: it asks for another version as it is looked at. */
async function keepFresh(workers: ServiceWorkerContainer): Promise<void> {
  const worker = await workers.register('/sw.js');
  let askedAt = performance.now();
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState !== 'visible' || performance.now() - askedAt < ASKS_EVERY) return;
    askedAt = performance.now();
    worker.update().catch(() => {});
  });
}

/** A phone that was shut out shows nothing more of the house, what it shows already included. */
async function endNotices(workers: ServiceWorkerContainer): Promise<void> {
  const worker = await workers.getRegistration();
  for (const notice of (await worker?.getNotifications()) ?? []) notice.close();
  await (await worker?.pushManager?.getSubscription())?.unsubscribe();
}

let told: string | null = null;

/** A phone that is told by push is told in its own units and language, also once these change. */
async function tellManner(manner: unknown[]): Promise<void> {
  if (kept('told') !== 'yes' || told === manner.join()) return;
  told = manner.join();
  await (await import('./notices/known.ts')).tellManner();
}

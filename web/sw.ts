import type { WorkerEvents, WorkerScope } from './worker-scope.ts';

/**
 * The page's worker: keeps the page so that it opens without the network, and shows notices. It keeps
 * files alone: what the service says of a household stays with the page, which forgets it with its right.
 */

/** Put in by the build: every file of this version, and what they hold as one hash. */
declare const SHELL: { version: string; files: string[] };

const worker = self as unknown as WorkerScope;
const prefix = 'shell-';
/** Nobody waits longer for a page that is there already. [ms] */
const PATIENCE = 3000;

worker.addEventListener('install', (event) => event.waitUntil(install()));
worker.addEventListener('activate', (event) => event.waitUntil(activate()));
worker.addEventListener('fetch', answer);
worker.addEventListener('push', (event) => event.waitUntil(show(event)));
worker.addEventListener('notificationclick', (event) => event.waitUntil(open(event)));

async function install(): Promise<void> {
  const shell = await caches.open(prefix + SHELL.version);
  await shell.addAll(SHELL.files.map((file) => new Request(file, { cache: 'no-cache' })));
  // A page that is open goes on with what it has; its parts stay for as long as one more version.
  await worker.skipWaiting();
}

async function activate(): Promise<void> {
  const shells = (await caches.keys()).filter((name) => name.startsWith(prefix));
  const own = prefix + SHELL.version;
  const before = shells.filter((name) => name !== own);
  await Promise.all(before.slice(0, -1).map((name) => caches.delete(name)));
  await worker.clients.claim();
}

/** Files by their content's hash come from what is kept; the page itself from the network where it can. */
function answer(event: WorkerEvents['fetch']): void {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== location.origin || pathname.startsWith('/api')) return;
  if (request.mode === 'navigate') event.respondWith(page(request));
  else if (SHELL.files.includes(pathname) || pathname.startsWith('/assets/')) {
    event.respondWith(kept(request));
  }
}

async function kept(request: Request): Promise<Response> {
  return (await caches.match(request)) ?? fetch(request);
}

async function page(request: Request): Promise<Response> {
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(PATIENCE) });
    if (answer.status < 500) return answer;
  } catch {
    // Out of reach.
  }
  const shell = await caches.open(prefix + SHELL.version);
  return (await shell.match('/')) ?? fetch(request);
}

interface Told {
  title: string;
  text: string;
  severity: string;
  tub: string | null;
  /** The one alert that it is about. */
  alert: string | null;
}

function toldBy({ data }: WorkerEvents['push']): Partial<Told> {
  try {
    return (data?.json() as Told | null) ?? {};
  } catch {
    return {};
  }
}

/** One line; what is told again of an alert, or that it is over, takes the place of what was told before. */
async function show(event: WorkerEvents['push']): Promise<void> {
  const { title = 'Sunsteep', text = '', severity, tub, alert } = toldBy(event);
  const alerts = tub ? `/tubs/${tub}/alerts` : '/';
  await worker.registration.showNotification(title, {
    body: text,
    icon: '/icon-192.png',
    badge: '/icon-192.png',
    dir: 'auto',
    requireInteraction: severity === 'danger',
    ...(tub && { tag: `${tub} ${alert ?? 'several'}`, renotify: true }),
    data: tub && alert ? `${alerts}/${alert}` : alerts,
  });
}

/** Leads to the alert, on the page that is open or on a new one. */
async function open({ notification }: WorkerEvents['notificationclick']): Promise<void> {
  notification.close();
  const href = String(notification.data ?? '/');
  const [seen] = await worker.clients.matchAll({ type: 'window' });
  if (seen === undefined) {
    await worker.clients.openWindow(href);
    return;
  }
  await seen.focus().catch(() => {});
  seen.postMessage({ go: href });
}

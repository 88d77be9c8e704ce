/** What a service worker is given by its browser, as far as ours uses it; the page's types lack it. */

interface Extendable {
  waitUntil(done: Promise<unknown>): void;
}

export interface WorkerEvents {
  install: Extendable;
  activate: Extendable;
  fetch: Extendable & { request: Request; respondWith(answer: Promise<Response>): void };
  push: Extendable & { data: { json(): unknown } | null };
  notificationclick: Extendable & { notification: { data: unknown; close(): void } };
}

interface Seen {
  focus(): Promise<unknown>;
  postMessage(message: unknown): void;
}

export interface WorkerScope {
  registration: {
    showNotification(
      title: string,
      options: NotificationOptions & { renotify?: boolean },
    ): Promise<void>;
  };
  clients: {
    claim(): Promise<void>;
    matchAll(which: { type: 'window' }): Promise<Seen[]>;
    openWindow(href: string): Promise<unknown>;
  };
  skipWaiting(): Promise<void>;
  addEventListener<K extends keyof WorkerEvents>(
    name: K,
    hearer: (event: WorkerEvents[K]) => void,
  ): void;
}

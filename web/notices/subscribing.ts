import type { NoNotices } from '../../model/words/phone-notice-words.ts';

/** What the phone's browser does so that it can be told; nothing here speaks to the service. */

/** Why this phone cannot show notices; null where it can. */
export function hindrance(): NoNotices | null {
  if (!isSecureContext) return 'not-secure';
  const onHomeScreen = (navigator as { standalone?: boolean }).standalone;
  const able = 'serviceWorker' in navigator && 'PushManager' in window && 'Notification' in window;
  if (!able) return onHomeScreen === false ? 'not-installed' : 'not-able';
  return Notification.permission === 'denied' ? 'denied' : null;
}

/** The subscription that the browser has; null where it has none, or its owner has ended it. */
export async function subscription(): Promise<PushSubscription | null> {
  if (hindrance() !== null || Notification.permission !== 'granted') return null;
  const worker = await navigator.serviceWorker.getRegistration();
  return (await worker?.pushManager.getSubscription()) ?? null;
}

/**
 * Asks the owner, then the browser's push service. To be called by a button: a phone takes the question
 * from nothing else.
 */
export async function subscribe(publicKey: string): Promise<PushSubscription | NoNotices> {
  const permission = await Notification.requestPermission();
  if (permission !== 'granted') return permission === 'denied' ? 'denied' : 'not-answered';
  const { pushManager } = await navigator.serviceWorker.ready;
  const options = { userVisibleOnly: true, applicationServerKey: publicKey };
  try {
    return await pushManager.subscribe(options);
  } catch (error) {
    if ((error as DOMException).name !== 'InvalidStateError') return 'private';
  }
  // It was subscribed by the keys of a service that is no more.
  try {
    await (await pushManager.getSubscription())?.unsubscribe();
    return await pushManager.subscribe(options);
  } catch {
    return 'private';
  }
}

import { batch, computed, signal } from '@preact/signals';

/**
 * The page's address: `/tubs/<tub>` in front where one of several tubs was chosen, then the screen's own,
 * and after a question mark the view that it shows.
 */

const path = signal(location.pathname);

/** The chosen view of a screen that has several; begins with `?`, or is empty. */
export const viewAddress = signal(location.search);

const withTub = /^\/tubs\/([a-z0-9-]{1,32})(\/.*)?$/;

/** The tub that the address names, or null. */
export const tubInAddress = computed(() => withTub.exec(path.value)?.[1] ?? null);

/** What follows the tub; begins with `/`. */
export const screenAddress = computed(() => {
  const match = withTub.exec(path.value);
  return match ? (match[2] ?? '/') : path.value;
});

/** The address of another screen of the same tub. */
export function address(screen: string): string {
  const tub = tubInAddress.value;
  return tub === null ? screen : `/tubs/${tub}${screen}`;
}

export function go(href: string, replace = false): void {
  if (replace) history.replaceState(null, '', href);
  else history.pushState(null, '', href);
  read();
  if (!replace) arrive();
}

function read(): void {
  batch(() => {
    path.value = location.pathname;
    viewAddress.value = location.search;
  });
}

/**
 * Whoever reads by ear or by keyboard starts at the top of what is new; who stepped there from a place
 * that is still to be seen stays, and sees the new screen from its top where that place is outside of it.
 */
export function arrive(): void {
  requestAnimationFrame(() => {
    const place = document.activeElement;
    const stays = place?.isConnected && place !== document.body;
    if (stays && place.closest('main')) return;
    window.scrollTo(0, 0);
    if (!stays) document.querySelector<HTMLElement>('h1')?.focus({ preventScroll: true });
  });
}

/** Links within the page need no reload; all that opens elsewhere is left to the browser. */
function follow(event: MouseEvent): void {
  if (event.defaultPrevented || event.button !== 0) return;
  if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return;
  const link = (event.target as Element).closest('a');
  if (!link || link.origin !== location.origin || link.target || link.hasAttribute('download')) {
    return;
  }
  if (link.hash !== '' && link.pathname === location.pathname) return;
  event.preventDefault();
  go(link.pathname + link.search);
}

export function startAddress(): void {
  addEventListener('popstate', read);
  document.addEventListener('click', follow);
}

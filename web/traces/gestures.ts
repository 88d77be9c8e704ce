import { type Span, shifted, zoomed } from './view.ts';

/**
 * What fingers, a mouse, a wheel and keys do on the chart. One finger reads, two zoom and shift; a mouse
 * reads, and shifts while its button is held.
 */

export interface Hands {
  view(): Span;
  instantAt(x: number): number;
  /** How wide the axis of time is [px]. */
  width(): number;
  read(t: number | null): void;
  move(view: Span): void;
  letGo(): void;
}

/** A wheel has no end of its own: it has stopped when nothing came for so long [ms]. */
const WHEEL_RESTS = 250;

export function gesturesOn(target: HTMLElement, hands: Hands): () => void {
  const held = new Map<number, number>();
  let start: { view: Span; apart: number; middle: number } | null = null;
  let pulled = false;
  let wheelRests: ReturnType<typeof setTimeout> | undefined;

  const placeOf = ({ clientX }: MouseEvent) => clientX - target.getBoundingClientRect().left;

  /** From here on the fingers that are down move what they hold. */
  function take(): void {
    const [a = 0, b = a] = [...held.values()];
    start = { view: hands.view(), apart: Math.max(8, Math.abs(a - b)), middle: (a + b) / 2 };
  }

  function follow(): void {
    if (start === null) return;
    const [a = 0, b = a] = [...held.values()];
    const perPixel = (start.view.to - start.view.from) / hands.width();
    const middle = (a + b) / 2;
    const times = held.size < 2 ? 1 : start.apart / Math.max(8, Math.abs(a - b));
    const shift = (start.middle - middle) * perPixel * times;
    const around = start.view.from + start.middle * perPixel;
    hands.move(shifted(zoomed(start.view, times, around), shift));
    pulled = true;
  }

  function down(event: PointerEvent): void {
    if (event.button !== 0) return;
    held.set(event.pointerId, placeOf(event));
    target.setPointerCapture(event.pointerId);
    if (held.size <= 2) take();
    if (event.pointerType !== 'mouse' && held.size === 1)
      hands.read(hands.instantAt(placeOf(event)));
  }

  function moved(event: PointerEvent): void {
    if (!held.has(event.pointerId)) {
      if (event.pointerType === 'mouse') hands.read(hands.instantAt(placeOf(event)));
      return;
    }
    held.set(event.pointerId, placeOf(event));
    const mouse = event.pointerType === 'mouse';
    if (held.size === 2 || mouse) follow();
    else if (held.size === 1 && !pulled) hands.read(hands.instantAt(placeOf(event)));
  }

  function up(event: PointerEvent): void {
    if (!held.delete(event.pointerId) || held.size > 0) return;
    start = null;
    if (pulled) hands.letGo();
    pulled = false;
  }

  function wheel(event: WheelEvent): void {
    // A touchpad tells a pinch as a wheel with this key; without it, the page scrolls.
    const sideways = Math.abs(event.deltaX) > Math.abs(event.deltaY);
    if (!event.ctrlKey && !sideways) return;
    event.preventDefault();
    const view = hands.view();
    const perPixel = (view.to - view.from) / hands.width();
    hands.move(
      event.ctrlKey
        ? zoomed(view, Math.exp(event.deltaY / 200), view.from + placeOf(event) * perPixel)
        : shifted(view, event.deltaX * perPixel),
    );
    clearTimeout(wheelRests);
    wheelRests = setTimeout(hands.letGo, WHEEL_RESTS);
  }

  const ended = new AbortController();
  const { signal } = ended;
  target.addEventListener('pointerdown', down, { signal });
  target.addEventListener('pointermove', moved, { signal });
  target.addEventListener('pointerup', up, { signal });
  target.addEventListener('pointercancel', up, { signal });
  target.addEventListener('wheel', wheel, { signal, passive: false });
  return () => {
    clearTimeout(wheelRests);
    ended.abort();
  };
}

import { computed, signal } from '@preact/signals';

/** The phone's clock, read here alone; ages are told by the service's time, whatever the phone thinks it is. */

const phoneClock = signal(Date.now());

/** How much the service's clock is ahead of the phone's [ms]. */
const ahead = signal(0);

/** The service's present [ms since 1970-01-01 UTC]; moves once a second while the page is seen. */
export const present = computed(() => phoneClock.value + ahead.value);

/** The service has just said what time it is. */
export function setPresent(serviceNow: number): void {
  phoneClock.value = Date.now();
  ahead.value = serviceNow - phoneClock.value;
}

/** The present as of this very moment, not of the last tick. */
export function catchUp(): number {
  phoneClock.value = Date.now();
  return present.value;
}

/** The phone's own time [ms]: for a span between two taps, which no news of the service's time may bend. */
export const phoneTime = (): number => Date.now();

export function startClock(): void {
  setInterval(() => {
    if (document.visibilityState === 'visible') catchUp();
  }, 1000);
}

/** Hours as clocks show them where the tub stands: midnight and noon lie where that zone has them. */
export interface LocalClock {
  hour(instant: number): number;
  minute(instant: number): number;
}

export function localClock(timeZone: string): LocalClock {
  const format = new Intl.DateTimeFormat('en', {
    timeZone,
    hour: 'numeric',
    minute: 'numeric',
    hourCycle: 'h23',
  });
  const part = (instant: number, type: 'hour' | 'minute') =>
    Number(format.formatToParts(instant).find((part) => part.type === type)?.value);
  return {
    hour: (instant) => part(instant, 'hour'),
    minute: (instant) => part(instant, 'minute'),
  };
}

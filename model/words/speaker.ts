/** How a person likes figures: the language's numbers and dates, and the units. */
export interface Manner {
  /** BCP 47, e.g. en-NZ */
  locale: string;
  temperature: 'C' | 'F';
  volume: 'l' | 'gal';
  hours: 12 | 24;
  /** IANA time zone in which hours and dates are told. */
  timeZone: string;
}

const litresPerGallon = 3.785411784; // US liquid gallon, exact

/** Turns figures into what a person reads. Instants are ms since 1970-01-01 UTC. */
export interface Speaker {
  readonly manner: Manner;
  /** With 0 to 3 decimals. */
  number(value: number, decimals: number): string;
  /** `36.4 °C` */
  temperature(tubC: number, decimals?: number): string;
  /**
   * The ends of a range of temperatures without their unit: half degrees, whole ones where it spans
   * more than two, rounded outwards.
   */
  temperatureRange(lowC: number, highC: number): [string, string];
  /** `38°`, for an axis */
  mark(tubC: number): string;
  /** A temperature as a number in the person's degrees, and back. */
  toDegrees(tubC: number): number;
  fromDegrees(degrees: number): number;
  /** A temperature difference in the person's degrees, as a number. */
  difference(deltaK: number): number;
  /** `7.4 kWh`: one decimal below ten, none above. */
  energy(kwh: number): string;
  /** The same without its unit. */
  energyFigure(kwh: number): string;
  /**
   * The ends of a range around `kwh` without their unit, in its digits and rounded away from it: a
   * range never looks narrower than it is.
   */
  energyRange(kwh: number, lowKwh: number, highKwh: number): [string, string];
  /** `1.6 kW`, `340 W` */
  power(watts: number): string;
  volume(litres: number): string;
  flow(litresPerMin: number): string;
  percent(share: number): string;
  /** `NZ$1.90`; `whole`: without parts of the currency's unit. */
  money(sum: number, currency: string, whole?: boolean): string;
  /** `14:05` */
  time(instant: number): string;
  /** `14`, `2 pm`, for an axis */
  hour(instant: number): string;
  /** `14:05`, with the date where that is not the date of `present`. */
  moment(instant: number, present: number): string;
  /** `Sunday 1 March`, with the year where it is not `thisYear`. */
  date(date: string, thisYear?: string): string;
  /** `March 2026`, of `2026-03` */
  month(month: string): string;
  /** The local date of an instant, `2026-03-01`. */
  dateOf(instant: number): string;
  /** The local hour of an instant, 0–23. */
  hourOf(instant: number): number;
}

/** A speaker for one person; what it says depends on nothing but its arguments. */
export function speakerOf(manner: Manner): Speaker {
  const { locale, timeZone } = manner;
  const fahrenheit = manner.temperature === 'F';
  const gallons = manner.volume === 'gal';
  const hourCycle = manner.hours === 12 ? 'h12' : 'h23';
  const clock = { minute: '2-digit', hourCycle, timeZone } as const;
  const hour = manner.hours === 12 ? 'numeric' : '2-digit';
  const format = (options: Intl.DateTimeFormatOptions) => new Intl.DateTimeFormat(locale, options);
  const times = format({ hour, ...clock });
  const hours = format({ hour, hourCycle, timeZone });
  const moments = format({ day: 'numeric', month: 'long', hour, ...clock });
  const named = { weekday: 'long', day: 'numeric', month: 'long', timeZone: 'UTC' } as const;
  const dates = format(named);
  const datesWithYear = format({ ...named, year: 'numeric' });
  const months = format({ month: 'long', year: 'numeric', timeZone: 'UTC' });
  const isoDates = new Intl.DateTimeFormat('en-CA', {
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    timeZone,
  });
  const isoHours = new Intl.DateTimeFormat('en-GB', {
    hour: '2-digit',
    hourCycle: 'h23',
    timeZone,
  });

  const numbers = [0, 1, 2, 3].map(
    (decimals) =>
      new Intl.NumberFormat(locale, {
        minimumFractionDigits: decimals,
        maximumFractionDigits: decimals,
        signDisplay: 'negative',
      }),
  );
  const number = (value: number, decimals: number) =>
    numbers[decimals]!.format(value).replace('-', '−');
  const toDegrees = (tubC: number) => (fahrenheit ? tubC * 1.8 + 32 : tubC);
  const amount = (litres: number) => (gallons ? litres / litresPerGallon : litres);
  const dateOf = (instant: number) => isoDates.format(instant);
  const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');

  return {
    manner,
    number,
    temperature: (tubC, decimals = 1) =>
      `${number(toDegrees(tubC), decimals)} °${manner.temperature}`,
    temperatureRange(lowC, highC) {
      const [low, high] = [toDegrees(lowC), toDegrees(highC)];
      const steps = high - low > 2 + slack ? 1 : 2;
      const decimals = steps - 1;
      return [
        number(Math.floor(low * steps + slack) / steps, decimals),
        number(Math.ceil(high * steps - slack) / steps, decimals),
      ];
    },
    mark: (tubC) => `${number(toDegrees(tubC), 0)}°`,
    toDegrees,
    fromDegrees: (degrees) => (fahrenheit ? (degrees - 32) / 1.8 : degrees),
    difference: (deltaK) => (fahrenheit ? deltaK * 1.8 : deltaK),
    energy: (kwh) => `${number(kwh, decimalsOf(kwh))} kWh`,
    energyFigure: (kwh) => number(kwh, decimalsOf(kwh)),
    energyRange(kwh, lowKwh, highKwh) {
      const decimals = decimalsOf(kwh);
      const steps = 10 ** decimals;
      const low = Math.floor(lowKwh * steps + slack) / steps;
      const high = Math.ceil(highKwh * steps - slack) / steps;
      return [number(low, decimals), number(high, decimals)];
    },
    power: (watts) =>
      Math.abs(watts) < 950
        ? `${number(Math.round(watts / 10) * 10, 0)} W`
        : `${number(watts / 1000, 1)} kW`,
    volume: (litres) => `${number(amount(litres), 0)} ${gallons ? 'gal' : 'l'}`,
    flow: (litresPerMin) => `${number(amount(litresPerMin), 1)} ${gallons ? 'gal/min' : 'l/min'}`,
    percent: (share) => `${number(share * 100, 0)} %`,
    money(sum, currency, whole = false) {
      const digits = whole ? { maximumFractionDigits: 0 } : {};
      const told = new Intl.NumberFormat(locale, { style: 'currency', currency, ...digits });
      return plain(told.format(sum));
    },
    time: (instant) => plain(times.format(instant)),
    hour: (instant) => plain(hours.format(instant)),
    moment: (instant, present) =>
      plain((dateOf(instant) === dateOf(present) ? times : moments).format(instant)),
    date: (date, thisYear = date.slice(0, 4)) =>
      (date.startsWith(thisYear) ? dates : datesWithYear).format(Date.parse(date)),
    month: (month) => months.format(Date.parse(`${month}-01`)),
    dateOf,
    hourOf: (instant) => Number(isoHours.format(instant)),
  };
}

/** What the service itself says: English, °C, litres, 24 h. */
export const plainSpeaker = (timeZone: string | null): Speaker =>
  speakerOf({
    locale: 'en-GB',
    temperature: 'C',
    volume: 'l',
    hours: 24,
    timeZone: timeZone ?? 'UTC',
  });

/** 6.2 + 0.4 is a hair above 6.6. */
const slack = 1e-9;

/** Two digits below ten say as much as an energy here can be known. */
const decimalsOf = (kwh: number) => (Math.abs(kwh) < 9.95 ? 1 : 0);

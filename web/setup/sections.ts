/**
 * Every question of Set-up: where its answer belongs, of what kind it is and within which bounds. What it
 * changes and how to find the answer stands in the words, by path.
 */

export type Amount =
  | 'plain'
  | 'volume'
  | 'flow'
  | 'temperature'
  | 'difference'
  | 'watts'
  | 'lossPerK'
  | 'metres'
  | 'squareMetres'
  | 'degrees'
  | 'pricePerKwh'
  | 'gramsPerKwh';

export interface NumberField {
  path: string;
  kind: 'number';
  amount: Amount;
  low: number;
  high: number;
  /** The lowest is out of bounds itself. */
  above?: true;
  whole?: true;
  /** Nobody should confirm it unseen: nights, runs or a data sheet tell it better than a guess. */
  told?: 'learned' | 'data-sheet';
}

export type Field = (
  | NumberField
  | { path: string; kind: 'choice'; choices: readonly string[] }
  | { path: string; kind: 'text' | 'currency' | 'mail' | 'mails' | 'host' | 'web'; most: number }
  | { path: string; kind: 'secret'; most: number }
  | { path: string; kind: 'check' | 'time' | 'zone' | 'quiet' }
  | { path: string; kind: 'hours' | 'bands' }
) & {
  /** Without it there is nothing: always, or as soon as something else of the same object is told. */
  needed?: 'always' | 'with-the-rest';
};

export const sectionNames = [
  'place',
  'tub',
  'collectors',
  'loop',
  'controller',
  'backup',
  'evening',
  'warnings',
] as const;

export type SectionName = (typeof sectionNames)[number];

type Limits = Omit<NumberField, 'path' | 'kind' | 'amount' | 'low' | 'high'> &
  Pick<Field, 'needed'>;

const number = (
  path: string,
  amount: Amount,
  [low, high]: [low: number, high: number],
  limits: Limits = {},
): Field => ({ path, kind: 'number', amount, low, high, ...limits });

const choice = (path: string, ...choices: string[]): Field => ({ path, kind: 'choice', choices });

const whole = { whole: true } as const;
const above = { above: true } as const;
const needed = { needed: 'with-the-rest' } as const;

export const sections: Record<SectionName, readonly Field[]> = {
  place: [
    { path: '/name', kind: 'text', most: 80 },
    number('/place/latitude', 'degrees', [-90, 90], { needed: 'always' }),
    number('/place/longitude', 'degrees', [-180, 180], { needed: 'always' }),
    number('/place/elevationM', 'metres', [-450, 6000]),
    { path: '/place/timeZone', kind: 'zone', needed: 'always' },
  ],
  tub: [
    number('/tub/litres', 'volume', [50, 20_000]),
    number('/tub/seats', 'plain', [1, 50], whole),
    number('/tub/targetC', 'temperature', [10, 42]),
    number('/tub/limitC', 'temperature', [10, 60]),
    number('/tub/lossWPerK', 'lossPerK', [0, 500], { above: true, told: 'learned' }),
  ],
  collectors: [
    number('/collectors/count', 'plain', [1, 50], whole),
    number('/collectors/areaM2', 'squareMetres', [0, 50], above),
    number('/collectors/tiltDeg', 'degrees', [0, 90]),
    number('/collectors/azimuthDeg', 'degrees', [0, 360]),
    number('/collectors/eta0', 'plain', [0, 1], { above: true, told: 'data-sheet' }),
    number('/collectors/a1', 'plain', [0, 50], { told: 'data-sheet' }),
    number('/collectors/a2', 'plain', [0, 1], { told: 'data-sheet' }),
  ],
  loop: [
    number('/loop/pipeMetres', 'metres', [0, 500]),
    number('/loop/flowLPerMin', 'flow', [0, 200], { above: true, told: 'learned' }),
    choice('/loop/flowSensorAt', 'inlet', 'outlet'),
    choice('/loop/pairAt', 'tub', 'collectors'),
    choice('/loop/fluid', 'tub-water', 'antifreeze'),
    choice('/loop/meterSide', 'tub', 'collector'),
    choice('/loop/freeze', 'none', 'drain-back', 'recirculates'),
  ],
  controller: [
    number('/controller/switchOnK', 'difference', [0, 50]),
    number('/controller/switchOffK', 'difference', [0, 50]),
    choice('/pump/stateIs', 'turning', 'powered', 'asked', 'none'),
    choice('/pump/supply', 'mains', 'own-panel'),
    number('/pump/watts', 'watts', [0, 5000]),
    number('/pump/standbyWatts', 'watts', [0, 500]),
  ],
  backup: [
    choice('/backup/kind', 'electric', 'heat-pump', 'gas', 'none'),
    number('/backup/efficiency', 'plain', [0, 10], above),
    number('/backup/watts', 'watts', [0, 100_000], above),
    { path: '/backup/hours', kind: 'hours' },
    { path: '/tariff/currency', kind: 'currency', most: 3, ...needed },
    number('/tariff/otherwise', 'pricePerKwh', [-100, 1e6], needed),
    { path: '/tariff/bands', kind: 'bands' },
    number('/carbon/gPerKwh', 'gramsPerKwh', [0, 5000]),
  ],
  evening: [{ path: '/evening/at', kind: 'time' }],
  warnings: [
    { path: '/notify/quiet', kind: 'quiet' },
    { path: '/notify/mail/host', kind: 'host', most: 253, ...needed },
    number('/notify/mail/port', 'plain', [1, 65_535], whole),
    { path: '/notify/mail/secure', kind: 'check' },
    { path: '/notify/mail/user', kind: 'text', most: 200 },
    { path: '/notify/mail/password', kind: 'secret', most: 500 },
    { path: '/notify/mail/from', kind: 'mail', most: 320, ...needed },
    { path: '/notify/mail/to', kind: 'mails', most: 20, ...needed },
    { path: '/notify/webhook/url', kind: 'web', most: 2000, ...needed },
    { path: '/notify/webhook/secret', kind: 'secret', most: 500 },
    { path: '/notify/webhook/allowLocal', kind: 'check' },
  ],
};

/** The object that a path lies in: `/notify/mail` of `/notify/mail/host`. */
export const objectOf = (path: string): string => path.slice(0, path.lastIndexOf('/'));

import type { DayWithQuarters, Evening, Now, QuarterShape } from '../../model/shapes.ts';
import { type Situation, stateOf } from '../../model/state.ts';
import { en } from '../../model/words/en.ts';
import { sentenceOf } from '../../model/words/sentence.ts';
import { plainSpeaker } from '../../model/words/speaker.ts';
import type { Script } from './scripted-service.ts';
import { day, situation } from './situation.ts';

/** Kōwhai Terrace, as the service would tell of it. */

const QUARTER = 900_000;

/** What the service makes of a situation, its own sentence included. */
export function told(s: Situation): Now {
  const { state } = stateOf(s);
  return { ...s, state, ...sentenceOf(state, s, en, plainSpeaker(s.figures.timeZone)) };
}

interface DayOptions {
  date?: string;
  /** Local midnight. */
  from?: string;
  /** Quarters from here on have not been. */
  until?: string;
  basis?: 'measured' | 'estimated';
  /** Quarters of the day, counted from midnight, in which nothing was heard. */
  gap?: [first: number, last: number];
  lost?: boolean;
}

/** A fair day with a cloud at one o'clock. */
export function dayWith(options: DayOptions = {}): DayWithQuarters {
  const from = Date.parse(options.from ?? '2026-02-28T11:00:00Z');
  const until = Date.parse(options.until ?? '2026-03-01T01:30:00Z');
  const basis = options.basis ?? 'measured';
  const quarters: QuarterShape[] = [];
  let tubC = 35.6;
  for (let n = 0; n < 96; n++) {
    const start = from + n * QUARTER;
    if (start >= until) break;
    const gain = gainOf(n);
    tubC += gain === 0 ? -0.03 : gain * 0.405 - 0.03;
    const silent = options.gap !== undefined && n >= options.gap[0] && n <= options.gap[1];
    quarters.push({
      from: new Date(start).toISOString(),
      gainKwh: silent ? null : gain,
      lostKwh: silent ? null : options.lost && n >= 4 && n < 12 ? 0.07 : 0,
      basis: silent ? null : basis,
      coverage: silent ? 0 : 1,
      tubC: silent ? null : tubC,
      litres: silent ? null : gain > 0 ? 62 : 0,
    });
  }
  return {
    ...day,
    date: options.date ?? '2026-03-01',
    basis,
    measuredKwh: basis === 'measured' ? day.measuredKwh : 0,
    uncertaintyKwh: basis === 'measured' ? 0.19 : 0.9,
    from: new Date(from).toISOString(),
    to: new Date(from + 96 * QUARTER).toISOString(),
    nights: [
      { from: new Date(from).toISOString(), to: new Date(from + 25_080_000).toISOString() },
      {
        from: new Date(from + 72_420_000).toISOString(),
        to: new Date(from + 96 * QUARTER).toISOString(),
      },
    ],
    targetC: 38,
    quarters,
  };
}

/** Heat in the n-th quarter hour of the day [kWh]. */
function gainOf(n: number): number {
  if (n < 37 || n > 66) return 0;
  if (n >= 52 && n <= 54) return 0.11;
  return 0.45 * Math.sin((Math.PI * (n - 35)) / 34);
}

/** Sun until the bath at 20:00 (UTC+13), and the backup for the rest, cheaper right away. */
export const evening: Evening = {
  at: '2026-03-01T07:00:00.000Z',
  lowC: 37.17,
  highC: 37.93,
  targetC: 38,
  bySky: true,
  backup: {
    latest: { start: '2026-03-01T06:15:00.000Z', kwh: 0.82, money: 0.25 },
    cheapest: { start: '2026-03-01T02:00:00.000Z', kwh: 0.86, money: 0.15 },
  },
  why: null,
  currency: 'NZD',
  says: 'Tonight at 20:00 37.0 to 38.0 °C, if the sky stays as it is.',
};

/** Of three people, one of them a helper, and a link that nobody has used. */
const phones = [
  {
    ...{ id: 'p1', kind: 'phone', name: 'Mere’s phone', right: 'full', tubs: null, until: null },
    ...{ pairedAt: '2026-01-05T20:00:00.000Z', seenAt: '2026-03-01T01:29:00.000Z', you: true },
  },
  {
    ...{ id: 'p2', kind: 'phone', name: 'Android tablet', right: 'viewer', tubs: null },
    ...{ until: null, pairedAt: '2026-02-20T20:00:00.000Z', seenAt: '2026-02-28T20:00:00.000Z' },
    you: false,
  },
  {
    ...{ id: 'p3', kind: 'phone', name: 'Tama, plumber', right: 'full', tubs: ['kowhai'] },
    ...{ until: '2026-03-07T11:00:00.000Z', pairedAt: '2026-02-28T20:00:00.000Z', seenAt: null },
    you: false,
  },
  {
    ...{ id: 'l1', kind: 'link', right: 'viewer', tubs: null, until: null },
    expires: '2026-03-01T01:37:00.000Z',
  },
];

export function house(changes: Partial<Script> = {}): Script {
  return {
    paired: true,
    codes: [],
    right: 'full',
    tubs: {
      items: [{ id: 'kowhai', name: 'Kōwhai Terrace', setUp: true }],
      next: null,
      demo: false,
    },
    now: { kowhai: told(situation()) },
    days: {
      '2026-03-01': dayWith(),
      '2026-02-28': dayWith({
        date: '2026-02-28',
        from: '2026-02-27T11:00:00Z',
        until: '2026-02-28T11:00:00Z',
      }),
    },
    evenings: { kowhai: evening },
    alerts: {},
    months: {},
    log: {},
    means: {},
    phones: phones.map((one) => ({ ...one })),
    publicKey:
      'BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4',
    telling: { wishes: null, state: { waiting: 0, trouble: null } },
    connect: {
      host: '192.0.2.17',
      port: 1883,
      tlsPort: null,
      user: 'sensor',
      password: 'fern-otter-4471',
      embedded: true,
      trouble: null,
      refused: [],
    },
    setup: { document: { tubs: [] }, etag: '"0"' },
    ...changes,
  };
}

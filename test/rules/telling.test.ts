import { expect, test } from 'vitest';
import {
  type Listener,
  type NoticeKind,
  quietEnd,
  type Tellable,
  type Told,
  toTell,
  toTellProgram,
  usualWishes,
  type Wishes,
} from '../../model/alerts/telling.ts';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const zone = 'Pacific/Auckland';
/** Local time on 1 March 2026 in Auckland, UTC+13; hours past 24 are the next day's. */
const at = (hours: number, minutes = 0): number =>
  Date.parse('2026-03-01T00:00:00+13:00') + hours * HOUR + minutes * MINUTE;

const alertOf = (more: Partial<Tellable>): Tellable => ({
  fault: 'pump-not-running',
  severity: 'act',
  raisedAt: at(12),
  until: null,
  acknowledgedAt: null,
  shelvedUntil: null,
  endsQuietly: false,
  ...more,
});
const listener = (more: Partial<Listener> & { wish?: Partial<Wishes> } = {}): Listener => {
  const { wish, ...rest } = more;
  const wishes = { ...usualWishes, ...wish };
  return { wishes, timeZone: zone, lookedAt: null, heardToday: 0, ...rest };
};
const told = (
  kind: NoticeKind,
  severity: Told['severity'],
  t: number,
  came: Told['came'] = 'yes',
) => ({ kind, severity, at: t, came }) satisfies Told;

interface Case {
  says: string;
  alert: Partial<Tellable>;
  told?: Told[];
  to?: Parameters<typeof listener>[0];
  now: number;
  tells: NoticeKind | null;
}

const actTold = [told('raised', 'act', at(12))];
const dangerTold = [told('raised', 'danger', at(23))];

const cases: Case[] = [
  // what is only noted
  { says: 'a note is told to nobody', alert: { severity: 'note' }, now: at(12), tells: null },

  // what can wait
  {
    says: 'what can wait is not told on the day on which it came',
    alert: { severity: 'look', raisedAt: at(12) },
    now: at(21, 59),
    tells: null,
  },
  {
    says: 'what can wait is told when the quiet hours end',
    alert: { severity: 'look', raisedAt: at(12) },
    now: at(31),
    tells: 'raised',
  },
  {
    says: 'not a minute earlier',
    alert: { severity: 'look', raisedAt: at(12) },
    now: at(30, 59),
    tells: null,
  },
  {
    says: 'what can wait is told once a day: not after another such notice of the day',
    alert: { severity: 'look', raisedAt: at(12) },
    to: { lookedAt: at(31) },
    now: at(31, 1),
    tells: null,
  },
  {
    says: 'what can wait is told after such a notice of the day before',
    alert: { severity: 'look', raisedAt: at(12) },
    to: { lookedAt: at(7) },
    now: at(31, 1),
    tells: 'raised',
  },
  {
    says: 'what can wait is told but once',
    alert: { severity: 'look' },
    told: [told('raised', 'look', at(31))],
    to: { lookedAt: at(31) },
    now: at(79),
    tells: null,
  },
  {
    says: 'what can wait and was seen meanwhile is not told',
    alert: { severity: 'look', acknowledgedAt: at(13) },
    now: at(31),
    tells: null,
  },
  {
    says: 'what can wait does wait on a day with two notices',
    alert: { severity: 'look' },
    to: { heardToday: 2 },
    now: at(31),
    tells: null,
  },

  // what is to be done today
  { says: 'what is to be done today is told at once', alert: {}, now: at(12), tells: 'raised' },
  { says: 'not in the quiet hours', alert: { raisedAt: at(22) }, now: at(22), tells: null },
  { says: 'but when they end', alert: { raisedAt: at(22) }, now: at(31), tells: 'raised' },
  {
    says: 'in the quiet hours too for who wishes so',
    alert: { raisedAt: at(23) },
    to: { wish: { actAtNight: true } },
    now: at(23),
    tells: 'raised',
  },
  {
    says: 'at once however much was told that day',
    alert: {},
    to: { heardToday: 5 },
    now: at(12),
    tells: 'raised',
  },
  { says: 'not twice on that day', alert: {}, told: actTold, now: at(21, 59), tells: null },
  { says: 'once more the next morning', alert: {}, told: actTold, now: at(31), tells: 'again' },
  { says: 'not before it', alert: {}, told: actTold, now: at(30, 59), tells: null },
  {
    says: 'not once somebody has seen it',
    alert: { acknowledgedAt: at(20) },
    told: actTold,
    now: at(31),
    tells: null,
  },
  {
    says: 'not a third time',
    alert: {},
    told: [...actTold, told('again', 'act', at(31))],
    now: at(55),
    tells: null,
  },
  {
    says: 'told at the end of one night, again at the end of the next',
    alert: {},
    told: [told('raised', 'act', at(7))],
    now: at(30, 59),
    tells: null,
  },
  {
    says: 'again at the end of the next night',
    alert: {},
    told: [told('raised', 'act', at(7))],
    now: at(31),
    tells: 'again',
  },
  {
    says: 'what broke into the night is told again that morning',
    alert: { raisedAt: at(25) },
    told: [told('raised', 'act', at(25))],
    now: at(31),
    tells: 'again',
  },
  {
    says: 'what was told shortly before the morning is not told again in it',
    alert: { raisedAt: at(29) },
    told: [told('raised', 'act', at(29))],
    now: at(31),
    tells: null,
  },
  {
    says: 'what was told to be over and is back is told anew',
    alert: { raisedAt: at(15) },
    told: [...actTold, told('over', 'act', at(14))],
    now: at(15),
    tells: 'raised',
  },
  {
    says: 'not again while the first still waits to arrive',
    alert: {},
    told: [told('raised', 'act', at(12), 'waits')],
    now: at(31),
    tells: null,
  },
  {
    says: 'again where the first never arrived',
    alert: {},
    told: [told('raised', 'act', at(12), 'no')],
    now: at(36),
    tells: 'again',
  },

  // danger
  {
    says: 'danger is told at any hour',
    alert: { severity: 'danger', raisedAt: at(27) },
    now: at(27),
    tells: 'raised',
  },
  {
    says: 'danger is told to who wishes nothing less',
    alert: { severity: 'danger' },
    to: { wish: { least: 'danger' } },
    now: at(27),
    tells: 'raised',
  },
  {
    says: 'danger is not told again within half an hour',
    alert: { severity: 'danger' },
    told: dangerTold,
    now: at(23, 29),
    tells: null,
  },
  {
    says: 'danger is told again after half an hour',
    alert: { severity: 'danger' },
    told: dangerTold,
    now: at(23, 30),
    tells: 'again',
  },
  {
    says: 'danger that somebody has seen is not told again',
    alert: { severity: 'danger', acknowledgedAt: at(23, 5) },
    told: dangerTold,
    now: at(23, 30),
    tells: null,
  },
  {
    says: 'a frost is not told again within two hours',
    alert: { severity: 'danger', fault: 'freeze-danger' },
    told: dangerTold,
    now: at(24, 59),
    tells: null,
  },
  {
    says: 'a frost is told again after two hours',
    alert: { severity: 'danger', fault: 'freeze-danger' },
    told: dangerTold,
    now: at(25),
    tells: 'again',
  },
  {
    says: 'water that is too hot is told at night before it is a danger',
    alert: { fault: 'water-too-hot', raisedAt: at(23) },
    now: at(23),
    tells: 'raised',
  },
  {
    says: 'and it is told when it becomes one, though somebody had seen the lesser',
    alert: { fault: 'water-too-hot', severity: 'danger', acknowledgedAt: at(23, 1) },
    told: [told('raised', 'act', at(23))],
    now: at(23, 2),
    tells: 'worse',
  },
  {
    says: 'what could wait and no longer can is told as worse',
    alert: {},
    told: [told('raised', 'look', at(7))],
    now: at(12),
    tells: 'worse',
  },
  {
    says: 'what could wait and no longer can waits for the morning at night',
    alert: {},
    told: [told('raised', 'look', at(7))],
    now: at(23),
    tells: null,
  },

  // wishes
  {
    says: 'less than somebody wants to hear is not told',
    alert: {},
    to: { wish: { least: 'danger' } },
    now: at(12),
    tells: null,
  },
  {
    says: 'nothing is told of what somebody shelved, not even danger',
    alert: { severity: 'danger', shelvedUntil: at(24) },
    now: at(23, 59),
    tells: null,
  },
  {
    says: 'what still stands when the shelf ends is told then',
    alert: { severity: 'danger', shelvedUntil: at(24) },
    now: at(24),
    tells: 'raised',
  },
  {
    says: 'without quiet hours all hours are alike',
    alert: {},
    to: { wish: { quiet: { from: '07:00', to: '07:00' } } },
    now: at(27),
    tells: 'raised',
  },
  {
    says: 'quiet hours within one day hold',
    alert: {},
    to: { wish: { quiet: { from: '13:00', to: '15:00' } } },
    now: at(14),
    tells: null,
  },
  {
    says: 'and end',
    alert: {},
    to: { wish: { quiet: { from: '13:00', to: '15:00' } } },
    now: at(15),
    tells: 'raised',
  },

  // the end
  {
    says: 'its end is told to who was told of it',
    alert: { until: at(14) },
    told: actTold,
    now: at(14),
    tells: 'over',
  },
  {
    says: 'once',
    alert: { until: at(14) },
    told: [...actTold, told('over', 'act', at(14))],
    now: at(15),
    tells: null,
  },
  { says: 'not to who was not', alert: { until: at(14) }, now: at(14), tells: null },
  {
    says: 'not to whom it has not reached',
    alert: { until: at(14) },
    told: [told('raised', 'act', at(12), 'waits')],
    now: at(14),
    tells: null,
  },
  {
    says: 'not in the quiet hours, of a danger neither',
    alert: { until: at(26), severity: 'danger' },
    told: dangerTold,
    now: at(26),
    tells: null,
  },
  {
    says: 'but in the morning',
    alert: { until: at(26), severity: 'danger' },
    told: dangerTold,
    now: at(31),
    tells: 'over',
  },
  {
    says: 'not of what could wait',
    alert: { until: at(40), severity: 'look' },
    told: [told('raised', 'look', at(31))],
    now: at(40),
    tells: null,
  },
  {
    says: 'not where its end is no good news',
    alert: { until: at(14), endsQuietly: true },
    told: actTold,
    now: at(14),
    tells: null,
  },
  {
    says: 'not where it is shelved',
    alert: { until: at(14), shelvedUntil: at(20) },
    told: actTold,
    now: at(14),
    tells: null,
  },
];

test.each(cases)('$says', ({ alert, told: before = [], to, now, tells }) => {
  expect(toTell(alertOf(alert), before, listener(to), now)).toBe(tells);
});

/** What somebody hears of an alert, looking every minute, as local hours of the night. */
function heard(alert: (t: number) => Tellable, from: number, to: number, who = listener()) {
  const before: Told[] = [];
  const notices: string[] = [];
  for (let t = from; t <= to; t += MINUTE) {
    const now = alert(t);
    const kind = t < now.raisedAt ? null : toTell(now, before, who, t);
    if (kind === null) continue;
    before.push(told(kind, now.severity, t));
    const minutes = Math.round((t - at(0)) / MINUTE) % 1440;
    const clock = [Math.floor(minutes / 60), minutes % 60].map((n) => String(n).padStart(2, '0'));
    notices.push(`${clock.join(':')} ${kind}`);
  }
  return notices;
}

test('a danger of the night is told every half hour until it is seen, and its end in the morning', () => {
  const night = (t: number): Tellable =>
    alertOf({
      fault: 'water-too-hot',
      severity: t < at(23, 20) ? 'act' : 'danger',
      raisedAt: at(23, 10),
      acknowledgedAt: t < at(25, 5) ? null : at(25, 5),
      until: t < at(28) ? null : at(28),
    });
  expect(heard(night, at(22), at(36))).toEqual([
    '23:10 raised',
    '23:20 worse',
    '23:50 again',
    '00:20 again',
    '00:50 again',
    '07:00 over',
  ]);
});

test('a frost that nobody sees is told every two hours, all night', () => {
  const frost = () => alertOf({ fault: 'freeze-danger', severity: 'danger', raisedAt: at(22, 40) });
  expect(heard(frost, at(22), at(31))).toEqual([
    '22:40 raised',
    '00:40 again',
    '02:40 again',
    '04:40 again',
    '06:40 again',
  ]);
});

test('what is to be done today is told twice in all its life, and its end', () => {
  const pump = (t: number) => alertOf({ until: t < at(90) ? null : at(90) });
  expect(heard(pump, at(0), at(110))).toEqual(['12:00 raised', '07:00 again', '18:00 over']);
});

test('quiet hours follow the clock on the wall where it is moved', () => {
  const quiet = { ...usualWishes, quiet: { from: '22:00', to: '02:30' } };
  const end = (iso: string) => new Date(quietEnd(Date.parse(iso), quiet, zone)).toISOString();
  // 5 April 2026: 03:00 daylight time becomes 02:00 standard time; 02:30 comes twice
  expect(end('2026-04-05T12:00:00+12:00')).toBe('2026-04-04T13:30:00.000Z');
  // 27 September 2026: 02:00 standard time becomes 03:00; 02:30 never comes
  expect(end('2026-09-27T12:00:00+13:00')).toBe('2026-09-26T14:30:00.000Z');
  const usual = (iso: string) =>
    new Date(quietEnd(Date.parse(iso), usualWishes, zone)).toISOString();
  expect(usual('2026-04-04T23:00:00+13:00')).toBe('2026-04-03T18:00:00.000Z');
  expect(usual('2026-04-05T07:00:00+12:00')).toBe('2026-04-04T19:00:00.000Z');
  expect(usual('2026-09-27T06:59:59+13:00')).toBe('2026-09-25T19:00:00.000Z');
  const act = alertOf({ raisedAt: 0 });
  const tells = (iso: string) => toTell(act, [], listener(), Date.parse(iso));
  expect(tells('2026-04-05T06:59:00+12:00')).toBeNull();
  expect(tells('2026-04-05T07:00:00+12:00')).toBe('raised');
  expect(tells('2026-09-27T06:59:00+13:00')).toBeNull();
  expect(tells('2026-09-27T07:00:00+13:00')).toBe('raised');
});

test('a program is told of every alert at once: beginning, worse and end, and nothing again', () => {
  const raised = [told('raised', 'look', at(23), 'waits')];
  for (const severity of ['note', 'look', 'act', 'danger'] as const) {
    expect(toTellProgram(alertOf({ severity, shelvedUntil: at(99) }), [])).toBe('raised');
  }
  expect(toTellProgram(alertOf({ severity: 'look' }), raised)).toBeNull();
  expect(toTellProgram(alertOf({ severity: 'act' }), raised)).toBe('worse');
  const over = alertOf({ severity: 'look', until: at(24), endsQuietly: true });
  expect(toTellProgram(over, raised)).toBe('over');
  expect(toTellProgram(over, [...raised, told('over', 'look', at(24))])).toBeNull();
  expect(toTellProgram(over, [])).toBeNull();
});

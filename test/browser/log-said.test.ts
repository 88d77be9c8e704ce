import { expect, test } from 'vitest';
import { logKinds, newLogEntrySchema } from '../../model/owner-log.ts';
import { en } from '../../model/words/en.ts';
import { enLog } from '../../model/words/en-log.ts';
import { enLogKinds } from '../../model/words/en-log-kinds.ts';
import { plainSpeaker, speakerOf } from '../../model/words/speaker.ts';
import { linesOf, whenOf } from '../../web/log/entry-told.ts';
import { entryOf, offered, type Said } from '../../web/log/said.ts';
import { instantOf, type Place, wallOf } from '../../web/log/wall-time.ts';
import { localClock } from '../../web/today/clock-hours.ts';
import { present as presentIso } from './situation.ts';

const present = Date.parse(presentIso); // 14:30 in Nelson on 1 March
const placeIn = (timeZone: string): Place => ({
  ...localClock(timeZone),
  dateOf: plainSpeaker(timeZone).dateOf,
});
const nelson = placeIn('Pacific/Auckland');
const say = plainSpeaker('Pacific/Auckland');

const said = (changes: Partial<Said>): Said => ({
  ...{ kind: 'filter-cleaned', from: '2026-03-01T14:30', until: '', point: '', note: '' },
  ...changes,
});
const told = (changes: Partial<Said>) => entryOf(said(changes), present, nelson);

test('a time of a form is that of the tub, wherever the phone is', () => {
  expect(wallOf(present, nelson)).toBe('2026-03-01T14:30');
  expect(instantOf('2026-03-01T14:30', nelson)).toBe(present);
  expect(instantOf('2026-07-01T00:00', nelson)).toBe(Date.parse('2026-06-30T12:00:00Z'));
  expect(instantOf('2026-03-01T06:45', placeIn('Asia/Kathmandu'))).toBe(
    Date.parse('2026-03-01T01:00:00Z'),
  );
  for (const wall of ['', '2026-03-01', '14:30', '2026-02-30T99:00', 'x']) {
    expect(instantOf(wall, nelson), wall).toBeNull();
  }
});

test('where clocks are moved every quarter hour but a skipped one comes back as it was', () => {
  const zones = ['Pacific/Auckland', 'Europe/London', 'America/St_Johns', 'Australia/Lord_Howe'];
  const changes = [
    '2026-04-04T14:00Z',
    '2026-03-29T01:00Z',
    '2026-03-08T05:30Z',
    '2026-04-04T15:00Z',
  ];
  zones.forEach((zone, n) => {
    const place = placeIn(zone);
    const around = Date.parse(changes[n]!);
    for (let t = around - 6 * 3_600_000; t < around + 6 * 3_600_000; t += 900_000) {
      const wall = wallOf(t, place);
      const back = instantOf(wall, place)!;
      expect(wallOf(back, place), `${zone} ${wall}`).toBe(wall);
      expect(Math.abs(back - t)).toBeLessThanOrEqual(3_600_000);
    }
  });
});

test('every kind that is offered becomes an entry that the service takes', () => {
  for (const kind of offered) {
    const result = told({
      kind,
      until: '2026-03-01T16:00',
      point: 'tub/temperature',
      note: ' so ',
    });
    if ('wrong' in result) throw new Error(`${kind}: ${result.wrong}`);
    expect(newLogEntrySchema.safeParse(result.entry).error, kind).toBeUndefined();
    expect(result.entry.from).toBe(presentIso);
    expect(result.entry.note).toBe('so');
    expect(result.entry.until !== undefined).toBe(kind === 'bathing' || kind === 'away');
    expect(result.entry.data !== undefined).toBe(kind === 'sensor-moved');
  }
  expect(told({ kind: 'away' })).toEqual({ entry: { kind: 'away', from: presentIso } });
});

test('what makes no sense is told as what is wrong with it', () => {
  expect(told({ from: '' })).toEqual({ wrong: 'from' });
  expect(told({ from: '2026-03-01T15:00' })).toEqual({ wrong: 'ahead' });
  expect(told({ kind: 'drained', from: '2026-03-02T14:30' })).toEqual({ wrong: 'ahead' });
  expect(told({ kind: 'bathing', until: 'soon' })).toEqual({ wrong: 'until' });
  expect(told({ kind: 'bathing', until: '2026-03-01T14:30' })).toEqual({ wrong: 'order' });
  expect(told({ kind: 'away', until: '2028-03-01T14:30' })).toEqual({ wrong: 'far' });
  expect(told({ kind: 'remark', note: '  ' })).toEqual({ wrong: 'words' });
});

test('a bath and an absence can be said before they are so', () => {
  const bath = told({ kind: 'bathing', from: '2026-03-07T20:00', until: '2026-03-07T22:00' });
  expect(bath).toEqual({
    entry: {
      kind: 'bathing',
      from: '2026-03-07T07:00:00.000Z',
      until: '2026-03-07T09:00:00.000Z',
    },
  });
  expect(told({ kind: 'away', from: '2026-04-10T08:00' })).toHaveProperty('entry');
});

test('when an entry holds is told with what is needed to know which day that is', () => {
  const when = (from: string, until?: string) =>
    whenOf({ from, ...(until !== undefined && { until }) }, present, enLog, say);
  expect(when('2026-03-01T01:00:00Z')).toBe('Sunday 1 March, 14:00');
  expect(when('2026-03-01T07:00:00Z', '2026-03-01T09:00:00Z')).toBe(
    'Sunday 1 March, 20:00 until 22:00',
  );
  expect(when('2025-12-30T07:00:00Z', '2026-01-04T07:00:00Z')).toMatch(
    /^Tuesday,? 30 December 2025, 20:00 until Sunday 4 January, 20:00$/,
  );
});

test('what an entry tells beside its kind is said in the person’s units', () => {
  const from = presentIso;
  const gallons = speakerOf({ ...say.manner, volume: 'gal', temperature: 'F' });
  const lines = (entry: Parameters<typeof linesOf>[0], speaker = say) =>
    linesOf(entry, en.points.name, enLog, speaker);
  const fills = [{ litres: 10, seconds: 146 }];
  expect(lines({ id: 'a', kind: 'bucket-test', from, data: { fills } })).toEqual([
    'It told 4.1 l/min.',
  ]);
  expect(lines({ id: 'a', kind: 'bucket-test', from, data: { lPerMin: 4.1 } }, gallons)).toEqual([
    'It told 1.1 gal/min.',
  ]);
  const points = ['collector/inlet', 'collector/outlet'];
  const cup = { id: 'a', kind: 'cup-check' as const, from, data: { points, differenceK: -0.4 } };
  expect(lines(cup)).toEqual(['To the collectors and Back to the tub were 0.4 °C apart.']);
  expect(lines(cup, gallons)).toEqual(['To the collectors and Back to the tub were 0.7 °F apart.']);
  expect(lines({ id: 'a', kind: 'water-changed', from, data: { litres: 900 } })).toEqual([
    '900 l were changed.',
  ]);
  expect(
    lines({
      id: 'a',
      kind: 'sensor-moved',
      from,
      data: { point: 'tub/temperature' },
      note: 'deeper',
    }),
  ).toEqual(['Water in the tub.', 'deeper']);
  expect(lines({ id: 'a', kind: 'bathing', from, data: { people: 3 } })).toEqual(['3 people.']);
  expect(lines({ id: 'a', kind: 'remark', from, data: { anything: [1] } })).toEqual([]);
  expect(lines({ id: 'a', kind: 'cup-check', from, data: { differenceK: 'x' } })).toEqual([]);
});

test('each kind has a name and one line that says what it changes', () => {
  for (const kind of logKinds) {
    expect(enLogKinds.name[kind].length, kind).toBeLessThan(30);
    expect(enLogKinds.changes[kind], kind).toMatch(/^[A-Z].*\.$/);
  }
  expect(new Set(Object.values(enLogKinds.name)).size).toBe(logKinds.length);
});

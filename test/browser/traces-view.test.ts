import { describe, expect, it } from 'vitest';
import { MINUTE, QUARTER } from '../../model/readings.ts';
import { en } from '../../model/words/en.ts';
import { enTraces } from '../../model/words/en-traces.ts';
import { plainSpeaker } from '../../model/words/speaker.ts';
import { localClock } from '../../web/today/clock-hours.ts';
import { markedIn } from '../../web/traces/marked.ts';
import { panelsOf, stylesOf } from '../../web/traces/picture.ts';
import { niceScale } from '../../web/traces/scale.ts';
import { showsNights, spansAsked } from '../../web/traces/spans-asked.ts';
import { tableRows } from '../../web/traces/table-rows.ts';
import { timeMarks } from '../../web/traces/time-marks.ts';
import { answerOf, type Shown, toldOf } from '../../web/traces/told.ts';
import { common, gapsOf, readAt, type ToldBucket, traceOf } from '../../web/traces/trace.ts';
import { bucketsFile, readingsHead, readingsLines } from '../../web/traces/traces-file.ts';
import {
  LONGEST,
  midnight,
  queryOf,
  SHORTEST,
  shifted,
  spanOf,
  stepped,
  viewOf,
  zoomed,
} from '../../web/traces/view.ts';
import { alert } from './situation.ts';

const zone = 'Pacific/Auckland';
const say = plainSpeaker(zone);
const place = { ...localClock(zone), dateOf: say.dateOf };
const today = '2026-03-01';
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;
/** Midnight that begins 1 March 2026 in Nelson. */
const start = Date.parse('2026-02-28T11:00:00Z');
const iso = (t: number) => new Date(t).toISOString();

describe('a view in the address', () => {
  it('is read as it was written', () => {
    for (const query of [
      '',
      '?span=year',
      '?span=3-days&to=2026-01-31',
      '?points=tub/temperature,pump/running&span=week',
      '?from=2026-02-01&to=2026-02-14',
      '?points=collector/2/temperature&from=2026-02-01T10:00:00Z&to=2026-02-01T11:30:05Z',
    ]) {
      expect(queryOf(viewOf(query))).toBe(query);
    }
  });

  it('is today where it cannot be read, never something that cannot be', () => {
    for (const query of [
      '?span=century',
      '?from=2026-02-30&to=2026-03-02',
      '?from=2026-03-02&to=2026-03-01',
      '?from=2020-01-01&to=2026-03-01',
      '?from=2026-03-01T10:00:00Z&to=2026-03-01T10:00:00Z',
      '?from=NaN&to=Infinity',
      '?points=nowhere/such,<script>',
    ]) {
      const view = viewOf(query);
      expect(view, query).toEqual({
        points: null,
        chosen: { kind: 'named', span: 'day', last: null },
      });
    }
  });

  it('is made of whole days where the tub stands, of 23 and 25 hours too', () => {
    const hours = (query: string) => {
      const { from, to } = spanOf(viewOf(query).chosen, today, place);
      return (to - from) / HOUR;
    };
    expect(spanOf(viewOf('').chosen, today, place)).toEqual({ from: start, to: start + DAY });
    expect(hours('?to=2026-04-05')).toBe(25);
    expect(hours('?to=2025-09-28')).toBe(23);
    expect(hours('?span=week')).toBe(7 * 24);
    expect(hours('?from=2026-04-04&to=2026-04-06')).toBe(73);
  });

  it('steps by its own length, and forgets the date once it is today again', () => {
    const { chosen } = viewOf('?span=3-days');
    const earlier = stepped(chosen, -1, today);
    expect(earlier).toEqual({ kind: 'named', span: '3-days', last: '2026-02-26' });
    expect(stepped(earlier, 1, today)).toEqual(chosen);
    const dates = stepped({ kind: 'dates', first: '2026-01-30', last: '2026-02-02' }, 1, today);
    expect(dates).toEqual({ kind: 'dates', first: '2026-02-03', last: '2026-02-06' });
    expect(stepped({ kind: 'instants', from: 100, to: 300 }, -1, today)).toMatchObject({
      from: -100,
      to: 100,
    });
  });

  it('zooms around what is under the fingers, between ten minutes and two years', () => {
    const view = { from: start, to: start + DAY };
    expect(zoomed(view, 0.5, start + 6 * HOUR)).toEqual({
      from: start + 3 * HOUR,
      to: start + 15 * HOUR,
    });
    const least = zoomed(view, 1e-9, start);
    expect(least.to - least.from).toBe(SHORTEST);
    const most = zoomed(view, 1e9, start + HOUR);
    expect(most.to - most.from).toBe(LONGEST);
    expect(shifted(view, -DAY)).toEqual({ from: start - DAY, to: start });
    const ancient = shifted(view, -1e15);
    expect(new Date(ancient.from).getUTCFullYear()).toBe(1000);
  });
});

describe('what is asked for', () => {
  it('has at most 400 buckets and holds the view, whatever its length', () => {
    let most = 0;
    for (let length = SHORTEST; length <= LONGEST; length = Math.ceil(length * 1.07) + 1) {
      for (const from of [start, start + 12_345_678, start - 1]) {
        const view = { from, to: from + length };
        const asked = spansAsked(view, midnight(say.dateOf(from), place));
        most = Math.max(most, asked.buckets);
        expect(asked.from).toBeLessThanOrEqual(view.from);
        expect(asked.to).toBeGreaterThanOrEqual(view.to);
        expect(view.from - asked.from).toBeLessThan(asked.bucketMs);
        expect(asked.to - asked.from).toBe(asked.buckets * asked.bucketMs);
      }
    }
    expect(most).toBeGreaterThan(350);
    expect(most).toBeLessThanOrEqual(400);
  });

  it('is whole quarter hours from four days on, and whole days for a year', () => {
    for (const days of [5, 7, 31, 100, 366, 700]) {
      const asked = spansAsked({ from: start, to: start + days * DAY }, start);
      expect(asked.bucketMs % QUARTER, `${days} days`).toBe(0);
      expect(asked.from % QUARTER).toBe(0);
    }
    expect(spansAsked({ from: start - 366 * DAY, to: start }, start).bucketMs).toBe(DAY);
    expect(showsNights({ from: 0, to: 31 * DAY })).toBe(true);
    expect(showsNights({ from: 0, to: 366 * DAY })).toBe(false);
  });
});

/** Buckets of a length from `start` on; null: not heard. */
function line(point: string, values: (number | null)[], bucketMs = HOUR) {
  const told = values.flatMap((value, n): ToldBucket[] =>
    value === null
      ? []
      : [
          {
            from: iso(start + n * bucketMs),
            min: value - 1,
            mean: value,
            max: value + 1,
            count: 60,
          },
        ],
  );
  return traceOf(point, told, bucketMs, undefined);
}

const view = { from: start, to: start + DAY };

describe('gaps', () => {
  it('are where a point is silent for longer than its value may stand', () => {
    const tub = line('tub/temperature', [36, 36, null, null, 37, 37]);
    expect(gapsOf(tub, view, start + 6 * HOUR)).toEqual([
      { from: start + 2 * HOUR, to: start + 4 * HOUR },
    ]);
    const pump = line('pump/running', [0, 0, null, null, 1, 1]);
    expect(gapsOf(pump, view, start + 6 * HOUR)).toEqual([]);
  });

  it('begin with the view and end at the present where nothing was heard there', () => {
    const tub = line('tub/temperature', [null, 36, null]);
    expect(gapsOf(tub, view, start + 5 * HOUR)).toEqual([
      { from: start, to: start + HOUR },
      { from: start + 2 * HOUR, to: start + 5 * HOUR },
    ]);
    expect(gapsOf(line('tub/temperature', []), view, start + HOUR)).toHaveLength(1);
  });

  it('are shared where all are silent', () => {
    const spans = (...pairs: [number, number][]) => pairs.map(([from, to]) => ({ from, to }));
    expect(common([spans([0, 5], [8, 20]), spans([3, 9], [15, 30])])).toEqual(
      spans([3, 5], [8, 9], [15, 20]),
    );
    expect(common([])).toEqual([]);
  });

  it('leave the line open, and a value that stands alone is still drawn', () => {
    const traces = [line('tub/temperature', [36, 36, null, 37, null, 38, 38])];
    const names = { chart: enTraces.chart, point: en.points.name };
    const [panel] = panelsOf(traces, stylesOf(['tub/temperature']), names, say);
    if (panel?.kind !== 'curves') throw new Error('no curves');
    expect(panel.lines[0]!.pieces.map((piece) => piece.length)).toEqual([2, 1, 2]);
    expect(panel.scale.min).toBeLessThanOrEqual(35);
    expect(panel.scale.max).toBeGreaterThanOrEqual(39);
  });
});

describe('a switch', () => {
  const bucket = (n: number, min: number, mean: number, max: number): ToldBucket => ({
    ...{ from: iso(start + n * HOUR), min, mean, max, count: 6 },
  });
  const pump = traceOf(
    'pump/running',
    [bucket(0, 1, 1, 1), bucket(3, 0, 0.5, 1), bucket(6, 0, 0, 0)],
    HOUR,
    1440,
  );

  it('stays as it was until it is heard again; one that moved is known no further', () => {
    expect(readAt(pump, start + 2 * HOUR)?.mean).toBe(1);
    expect(readAt(pump, start + 3.5 * HOUR)?.mean).toBe(0.5);
    expect(readAt(pump, start + 4.5 * HOUR)).toBeNull();
    expect(readAt(pump, start + 20 * HOUR)?.mean).toBe(0);
    expect(readAt(pump, start - 1)).toBeNull();
    const names = { chart: enTraces.chart, point: en.points.name };
    const [panel] = panelsOf([pump], stylesOf([]), names, say);
    if (panel?.kind !== 'switch') throw new Error('no switch');
    expect(panel.blocks).toEqual([
      { from: start, to: start + 3 * HOUR, share: 1 },
      { from: start + 3 * HOUR, to: start + 4 * HOUR, share: 0.5 },
    ]);
  });
});

describe('the sentence', () => {
  const shown = (changes: Partial<Shown> = {}): Shown => ({
    traces: [line('tub/temperature', [36, 35, null, null, 37, 37.5])],
    view,
    present: start + 6 * HOUR,
    alerts: [],
    ...changes,
  });
  const language = { words: enTraces, points: en.points, say };
  const told = (changes?: Partial<Shown>) => toldOf(shown(changes), language);

  it('says the lowest and the highest, when they were, and what was not heard', () => {
    expect(told()).toEqual({
      sentence: 'Water in the tub: between 34.0 °C and 38.5 °C.',
      detail:
        'Sunday 1 March. Lowest 01:00, highest 05:00. Nothing was heard between 02:00 and 04:00.',
    });
  });

  it('says first what went wrong, the gravest that began there, with its time', () => {
    const alerts = [
      alert({ severity: 'note', since: iso(start + HOUR), says: 'A note.' }),
      alert({ severity: 'look', since: iso(start + HOUR), says: 'A thing to look at.' }),
      alert({ since: iso(start + 2 * HOUR), until: iso(start + 5 * HOUR) }),
      alert({ severity: 'danger', since: iso(start - DAY), until: iso(start - HOUR) }),
    ];
    expect(told({ alerts })).toEqual({
      sentence: 'From 02:00 to 05:00: the pump is not turning, though the sun is out.',
      detail:
        'Sunday 1 March. 2 more alerts are marked. Nothing was heard between 02:00 and 04:00.',
    });
    const open = alert({ since: iso(start + 2 * HOUR) });
    expect(told({ alerts: [open] }).sentence).toMatch(/^From 02:00 on: the pump/);
    const old = alert({ since: iso(start - DAY) });
    expect(told({ alerts: [old] }).sentence).toMatch(/^All along: the pump/);
  });

  it('says that nothing was heard, or that it has not been yet', () => {
    expect(told({ traces: [line('tub/temperature', [])] }).sentence).toBe(
      'Nothing was heard of these lines.',
    );
    expect(told({ present: start - 1 }).sentence).toBe('That has not been yet.');
  });

  it('says which line has a gap of its own, and that lines began late', () => {
    const traces = [
      line('tub/temperature', [36, 36, 36, 36, 36, 36]),
      line('outdoor/temperature', [15, null, 15, 15, 15, 15]),
    ];
    expect(told({ traces }).detail).toMatch(/Not heard between 01:00 and 02:00: Outdoor air\.$/);
    const late = [line('tub/temperature', [null, null, 36, 36, 36, 36])];
    expect(told({ traces: late }).detail).toMatch(/Nothing was heard before 02:00\.$/);
  });

  it('says of counters how much they rose, and of switches how they stood', () => {
    const volume = traceOf(
      'pump/volume',
      [0, 1, 2].map((n) => ({
        from: iso(start + n * HOUR),
        min: 100 * n,
        mean: 0,
        max: 100 * n,
        count: 1,
      })),
      HOUR,
      undefined,
    );
    expect(told({ traces: [volume] }).sentence).toBe('Water that went round: 200 l more.');
    const pump = traceOf(
      'pump/running',
      [{ from: iso(start), min: 0, mean: 0.2, max: 1, count: 9 }],
      HOUR,
      undefined,
    );
    expect(told({ traces: [pump] }).sentence).toBe('Pump: sometimes on, sometimes off.');
  });

  it('is told to whoever cannot see the chart, line by line', () => {
    const traces = [shown().traces[0]!, line('collector/temperature', [])];
    expect(answerOf(shown({ traces }), language)).toBe(
      'Water in the tub: lowest 34.0 °C, 01:00; highest 38.5 °C, 05:00. ' +
        'Hot end of the collectors: not heard. Nothing was heard between 02:00 and 04:00.',
    );
  });
});

describe('marks', () => {
  it('are numbered in order of time, alerts and entries of the log together', () => {
    const alerts = [
      alert({ id: 'later', since: iso(start + 3 * HOUR) }),
      alert({ id: 'gone', since: iso(start - 2 * DAY), until: iso(start - DAY) }),
      alert({ id: 'before', since: iso(start - HOUR), until: iso(start + HOUR) }),
    ];
    const entries = [
      { id: 'e', kind: 'filter-cleaned' as const, from: iso(start + 2 * HOUR) },
      { id: 'f', kind: 'remark' as const, from: iso(start + 2 * DAY) },
    ];
    const things = markedIn(view, start + 6 * HOUR, alerts, entries);
    const names = things.map((thing) => (thing.kind === 'alert' ? thing.alert.id : thing.entry.id));
    expect(names).toEqual(['before', 'e', 'later']);
    expect(things.map(({ number }) => number)).toEqual([1, 2, 3]);
  });
});

describe('the axis of time', () => {
  const names = {
    time: say.time,
    hour: say.hour,
    date: (date: string) => date,
    month: (date: string) => date,
  };
  const marks = (from: number, to: number, most: number) =>
    timeMarks({ from, to }, most, place, names);

  it('bears at most so many marks, all of them within the view and in order', () => {
    for (let length = SHORTEST; length <= LONGEST; length *= 1.4) {
      for (const most of [2, 5, 9]) {
        const found = marks(start + 1234, start + 1234 + length, most);
        expect(found.length).toBeLessThanOrEqual(most + 1);
        const times = found.map(({ at }) => at);
        expect(times).toEqual(times.toSorted((a, b) => a - b));
        if (times.length > 0) {
          expect(times[0]).toBeGreaterThanOrEqual(start + 1234);
          expect(times.at(-1)).toBeLessThanOrEqual(start + 1234 + length);
        }
      }
    }
  });

  it('lies on hours of the clock, on midnights and on first days of months', () => {
    expect(marks(start, start + DAY, 5).map(({ label }) => label)).toEqual([
      '00',
      '06',
      '12',
      '18',
      '00',
    ]);
    const week = marks(start, start + 7 * DAY, 8);
    expect(week.map(({ label }) => label).slice(0, 2)).toEqual(['2026-03-01', '2026-03-02']);
    const year = marks(start, start + 365 * DAY, 13).map(({ label }) => label);
    expect(year.every((label) => label.endsWith('-01'))).toBe(true);
    expect(year.length).toBeGreaterThan(11);
  });
});

describe('scales', () => {
  it('hold all values, with round marks, also where nothing moves', () => {
    for (const [low, high] of [
      [0, 13],
      [36.2, 36.4],
      [-20, 180],
      [5, 5],
      [0, 0],
      [1e6, 1e6 + 40],
    ] as const) {
      const scale = niceScale(low, high, 5);
      expect(scale.min).toBeLessThanOrEqual(low);
      expect(scale.max).toBeGreaterThanOrEqual(high);
      expect(scale.max).toBeGreaterThan(scale.min);
      expect(scale.marks.length).toBeGreaterThan(0);
      expect(scale.marks.length).toBeLessThanOrEqual(6);
      for (const mark of scale.marks) {
        expect(mark).toBeGreaterThanOrEqual(scale.min - 1e-9);
        expect(mark).toBeLessThanOrEqual(scale.max + 1e-9);
        expect(String(mark).length).toBeLessThan(9);
      }
    }
  });
});

describe('the table and the file', () => {
  const tub = line('tub/temperature', [36, 35, null, null, 37, 37]);

  it('has a row an hour of a day, and tells what was not heard', () => {
    const rows = tableRows(tub, view);
    expect(rows).toHaveLength(24);
    expect(rows[1]).toEqual({ from: start + HOUR, read: { low: 34, mean: 35, high: 36 } });
    expect(rows[2]!.read).toBeNull();
  });

  it('weighs a row’s mean by its readings', () => {
    const told = [
      { from: iso(start), min: 10, mean: 10, max: 10, count: 3 },
      { from: iso(start + QUARTER), min: 20, mean: 20, max: 20, count: 1 },
    ];
    const [first] = tableRows(traceOf('tub/temperature', told, QUARTER, undefined), view);
    expect(first!.read).toEqual({ low: 10, mean: 12.5, high: 20 });
  });

  it('is CSV that no spreadsheet runs, readings as they are or buckets in order', () => {
    const items = [{ point: 'tub/temperature', time: '2026-03-01T00:00:00.000Z', value: 36.4 }];
    expect(readingsHead + readingsLines('kowhai', items)).toBe(
      'time,tub,point,value\r\n2026-03-01T00:00:00.000Z,kowhai,tub/temperature,36.4\r\n',
    );
    expect(readingsLines('=cmd', items)).not.toMatch(/,=/);
    const lines = bucketsFile('kowhai', [tub, line('pump/power', [10])]).split('\r\n');
    expect(lines[0]).toBe('from,tub,point,lowest,mean,highest,readings');
    expect(lines[1]).toBe(`${iso(start)},kowhai,tub/temperature,35,36,37,60`);
    expect(lines[2]).toBe(`${iso(start)},kowhai,pump/power,9,10,11,60`);
    expect(lines).toHaveLength(1 + 5 + 1);
  });
});

it('lines of one colour differ in their strokes', () => {
  const points = Object.keys({ ...Array(9) }).map((n) => `collector/${Number(n) + 1}/temperature`);
  const styles = [
    ...stylesOf(['tub/temperature', 'pump/flow', 'collector/inlet', ...points.slice(0, 5)]),
  ];
  const seen = new Set(styles.map(([, { colour, dash }]) => `${colour} ${dash}`));
  expect(seen.size).toBe(styles.length);
});

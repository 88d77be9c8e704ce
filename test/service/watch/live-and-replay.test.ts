import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { judgedAlerts, toldAlerts } from '../../../collector-service/replay/alerts.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import { DayWork } from '../../../collector-service/watch/day-work.ts';
import { RoundsBook } from '../../../collector-service/watch/rounds-book.ts';
import { SetupBook } from '../../../collector-service/watch/setup-book.ts';
import { dayBounds, localDate } from '../../../model/civil-time.ts';
import type { DayFigures } from '../../../model/day-figures.ts';
import { workOut } from '../../../model/ledger.ts';
import { nothingOutside } from '../../../model/minutes/minute.ts';
import type { LogEntry } from '../../../model/owner-log.ts';
import { firstAtOrAfter, HOUR, MINUTE } from '../../../model/readings.ts';
import type { Setup } from '../../../model/setup.ts';
import { type LoopDays, loopDays } from '../../rules/loop-days.ts';

const tub = 'kowhai';
const TICK_MS = 5 * MINUTE;

/** Days with a pump that dies, a relay that sticks at night, and hours in which nothing is heard. */
const madeUp = () =>
  loopDays({
    kit: 'A',
    from: '2026-01-10',
    days: 7,
    everyMs: 30_000,
    happens: (scene) => {
      if (scene.day >= 2 && scene.day < 3) [scene.pumpOn, scene.lPerMin] = [false, 0];
      if (scene.day >= 4 && scene.day < 4.2) scene.pumpOn = true;
    },
    bends: {
      'tub/temperature': (value, { day }) => (day >= 5.4 && day < 5.6 ? null : value),
    },
  });

/** What is worked out of the days, the same for both. */
async function worked({ traces, versions, from, to, timeZone }: LoopDays) {
  const ledger = workOut(versions, traces, from, to, to);
  const quarters = async (since: number, until: number) =>
    ledger.filter((row) => row.from >= since && row.from < until);
  const figures = new Map<string, DayFigures>();
  const dates = [...new Set(ledger.map((row) => localDate(row.from, timeZone)))];
  const source = { quarters, traces: async () => traces };
  await new DayWork(figures, source, versions, to).run(dates, new Set(dates));
  return { ledger, quarters, figures };
}

test('a replay tells the alerts that were told live, at their instants', async () => {
  const made = madeUp();
  const { traces, versions, from, to, timeZone } = made;
  const { ledger, quarters, figures } = await worked(made);
  const rows = { quarters, figures: (date: string) => figures.get(date) ?? null };
  const replayed = toldAlerts(
    tub,
    await judgedAlerts(versions, traces, rows, { from, to }),
    versions,
  );

  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-live-'));
  const store = openStore(folder);
  const clock = { t: from, now: () => clock.t };
  const setup = new SetupBook([
    { id: 1, from: Number.NEGATIVE_INFINITY, madeAt: from, setup: { tubs: [] } as Setup },
  ]);
  // the very settings of the made-up days
  const book = Object.assign(Object.create(setup), { of: () => versions });
  Object.defineProperty(book, 'current', { value: { tubs: [{ id: tub }] } });
  const live = () =>
    new RoundsBook({
      store,
      clock,
      book: () => book,
      figures: (_, date) =>
        dayBounds(date, timeZone).to <= clock.t ? (figures.get(date) ?? null) : null,
      isBehind: () => false,
      outside: () => nothingOutside,
      told: () => {},
    });
  let rounds = live();
  let ticks = 0;
  for (let t = from; t < to; t += TICK_MS) {
    const readings = [...traces].flatMap(([point, trace]) => {
      const [first, end] = [firstAtOrAfter(trace.t, t), firstAtOrAfter(trace.t, t + TICK_MS)];
      return [...trace.t.subarray(first, end)].map((at, i) => ({
        tub,
        point,
        t: at,
        value: trace.v[first + i]!,
      }));
    });
    clock.t = t + TICK_MS + 6_000;
    await store.keep({ readings, unreadable: [], at: clock.t });
    if (t === from) await store.putLedger(tub, ledger, { from, to }, []);
    if (readings.length > 0) rounds.heard(tub, Math.min(...readings.map((reading) => reading.t)));
    await rounds.tick();
    if (++ticks % 400 === 0) {
      await rounds.stop();
      rounds = live();
    }
  }
  await rounds.stop();
  const told = (await store.alerts(tub, false)).toReversed();
  await store.close();
  rmSync(folder, { recursive: true, force: true });

  const brief = (alert: { id: string; since: number | string; until: number | string | null }) => {
    const iso = (at: number | string) => new Date(at).toISOString();
    return [alert.id, iso(alert.since), alert.until === null ? null : iso(alert.until)].join(' ');
  };
  console.log(`${replayed.length} alerts over ${(to - from) / HOUR} h, ${ticks} ticks`);
  expect(replayed.length).toBeGreaterThanOrEqual(3);
  expect(told.map(brief).sort()).toEqual(replayed.map(brief).sort());
  const cost = new Map(replayed.map(({ id, costKwh }) => [id, costKwh]));
  for (const { id, costKwh } of told) {
    if (costKwh === null) expect(cost.get(id), id).toBeNull();
    else expect(costKwh, id).toBeCloseTo(cost.get(id)!, 6);
  }
}, 60_000);

test('what the log calls no fault is over with that in a replay, until it grows worse', async () => {
  const made = madeUp();
  const { traces, versions, from, to } = made;
  const { quarters, figures } = await worked(made);
  const rows = { quarters, figures: (date: string) => figures.get(date) ?? null };
  const told = async (log: LogEntry[] = []) =>
    toldAlerts(tub, await judgedAlerts(versions, traces, rows, { from, to }, log), versions);
  const dead = (await told()).find(({ fault }) => fault === 'pump-not-running')!;
  const at = Date.parse(dead.raisedAt) + 90 * MINUTE + 7_000;
  expect(Date.parse(dead.until!)).toBeGreaterThan(at);
  const said = { id: '1', kind: 'not-a-fault', from: at, until: null, note: 'shade' } as const;
  for (const data of [{ alert: dead.id }, { fault: dead.fault }]) {
    const again = (await told([{ ...said, data }])).find(({ id }) => id === dead.id)!;
    expect(again).toMatchObject({ until: iso(at), acknowledgedAt: iso(at) });
  }
  const another = await told([{ ...said, data: { fault: 'late-start' } }]);
  expect(another.find(({ id }) => id === dead.id)).toEqual(dead);
});

const iso = (t: number) => new Date(t).toISOString();

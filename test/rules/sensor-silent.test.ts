import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { deviceSilent } from '../../model/rules/device-silent.ts';
import { sensorSilent } from '../../model/rules/sensor-silent.ts';
import { goRound } from './go-round.ts';
import { cutOut, loopDays } from './loop-days.ts';

const rules = [deviceSilent, sensorSilent];
const made = loopDays({ kit: 'C', everyMs: 30_000 });
const at = (hours: number) => made.from + hours * HOUR;
const silent = (point: string, from: number, minutes: number) => ({
  ...made,
  traces: cutOut(made.traces, at(from), at(from) + minutes * MINUTE, [point]),
});

test('a thermometer that falls silent among others is told within minutes, and over with its first word', () => {
  const { raised } = goRound(silent('collector/outlet', 2, 60), { rules });
  expect(raised).toHaveLength(1);
  const [alert] = raised;
  expect(alert).toMatchObject({ point: 'collector/outlet', severity: 'look' });
  expect(alert!.raisedAt - at(2)).toBeLessThanOrEqual(8 * MINUTE);
  expect(alert!.until).toBe(at(3) + MINUTE);
});

test('four minutes of silence are none', () => {
  expect(goRound(silent('collector/outlet', 2, 4), { rules }).raised).toEqual([]);
});

test('tub and collectors unheard for an hour of sun ask for action', () => {
  const { changes } = goRound(silent('tub/temperature', 11, 90), { rules });
  expect(changes.map(({ kind }) => kind)).toEqual(['raised', 'worse', 'ended']);
  expect(changes[0]!.alert.severity).toBe('act');
});

test('a cover that is told when it changes may rest all day', () => {
  let told: number | null = null;
  const onChange = (value: number) => {
    if (value === told) return null;
    told = value;
    return value;
  };
  const bends = { 'tub/cover': onChange };
  const { raised } = goRound(loopDays({ kit: 'C', days: 2, baths: [[19, 20]], bends }), { rules });
  expect(raised).toEqual([]);
});

test('all of a board silent is the board, not its sensors', () => {
  const traces = cutOut(made.traces, at(2), at(3));
  const { raised } = goRound({ ...made, traces }, { rules });
  expect(raised.map(({ fault }) => fault)).toEqual(['device-silent']);
});

const boards = [
  { name: 'Shed', points: ['tub/temperature', 'pump/running'] },
  { name: 'Roof', points: ['collector/temperature'] },
];
const boarded = loopDays({ everyMs: 30_000, setup: { boards } });

test('the only sensor of a board is told as a sensor while another board is heard', () => {
  const cut = (points?: readonly string[]) => ({
    ...boarded,
    traces: cutOut(boarded.traces, at(2), at(3), points),
  });
  const alone = goRound(cut(['collector/temperature']), { rules }).raised;
  expect(alone.map(({ fault, point }) => [fault, point])).toEqual([
    ['sensor-silent', 'collector/temperature'],
  ]);
  expect(alone[0]!.raisedAt - at(2)).toBeLessThanOrEqual(8 * MINUTE);
  expect(goRound(cut(), { rules }).raised.map(({ fault }) => fault)).toEqual(['device-silent']);
});

test('rounds begun anew miss a sensor that was silent before', () => {
  const { raised } = goRound(silent('collector/outlet', 2, 120), { rules, from: at(3) });
  expect(raised.map(({ point }) => point)).toEqual(['collector/outlet']);
});

/** Of a thermometer that speaks when it moved, and every ten minutes whether it did or not, till it is silent. */
function whenItMoves(silentFrom: number) {
  const busyS = [20, 40, 60, 90, 60, 30, 100, 150];
  const t: number[] = [];
  const v: number[] = [];
  let [said, valueC] = [0, 36];
  for (let now = calm.from; now < Math.min(calm.to, silentFrom); said++) {
    const isBusy = ((now - calm.from) / HOUR) % 24 >= 8 && ((now - calm.from) / HOUR) % 24 < 17;
    now += isBusy ? busyS[said % busyS.length]! * 1000 : 10 * MINUTE;
    // now and then its ten minutes are over just after it has spoken
    if (isBusy && said % 16 !== 2) valueC += said % 2 === 0 ? 0.1 : -0.1;
    t.push(now);
    v.push(valueC);
  }
  const traces = new Map(calm.traces);
  traces.set('tub/temperature', { t: Float64Array.from(t), v: Float64Array.from(v) });
  return { ...calm, traces };
}

const calm = loopDays({ days: 3, everyMs: 60_000 });

test('a thermometer that waits for a change may rest between them, but not for hours', () => {
  expect(goRound(whenItMoves(calm.to), { rules }).raised).toEqual([]);
  const silentFrom = calm.from + 60 * HOUR;
  const { raised } = goRound(whenItMoves(silentFrom), { rules });
  expect(raised.map(({ point }) => point)).toEqual(['tub/temperature']);
  expect(raised[0]!.raisedAt - silentFrom).toBeLessThan(2 * HOUR);
});

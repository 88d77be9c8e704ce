import { expect, test } from 'vitest';
import { nothingOutside } from '../../model/minutes/minute.ts';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { deviceSilent } from '../../model/rules/device-silent.ts';
import { sensorSilent } from '../../model/rules/sensor-silent.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDays, loopDays } from './loop-days.ts';

const rules = [deviceSilent, sensorSilent];
const boards = [
  { name: 'Shed', points: ['tub/temperature', 'pump/running'] },
  { name: 'Roof', points: ['collector/temperature'] },
];
const plain = loopDays({ everyMs: 30_000 });
const boarded = loopDays({ everyMs: 30_000, setup: { boards } });
const at = (made: LoopDays, hours: number) => made.from + hours * HOUR;

const silent = (made: LoopDays, minutes: number, points?: readonly string[]): LoopDays => ({
  ...made,
  traces: cutOut(made.traces, at(made, 6), at(made, 6) + minutes * MINUTE, points),
});

test('sensors of no board that all fall silent are one alert, over two minutes after they speak', () => {
  const { raised } = goRound(silent(plain, 60), { rules });
  expect(raised).toHaveLength(1);
  const [alert] = raised;
  expect(alert).toMatchObject({ fault: 'device-silent', point: null, severity: 'act' });
  expect(alert!.since).toBe(at(plain, 6) - 30_000);
  expect(alert!.raisedAt - alert!.since).toBeLessThanOrEqual(8 * MINUTE);
  expect(alert!.until! - at(plain, 7)).toBeLessThanOrEqual(2 * MINUTE);
});

test('four minutes of silence are none', () => {
  expect(goRound(silent(plain, 4), { rules }).raised).toEqual([]);
});

test('a board of the set-up is named, while the other one goes on', () => {
  const { raised } = goRound(silent(boarded, 60, boards[0]!.points), { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]).toMatchObject({ point: 'tub/temperature', evidence: { board: 'Shed' } });
});

test('boards that fall silent together are one alert', () => {
  const { raised } = goRound(silent(boarded, 60), { rules });
  expect(raised.map(({ evidence }) => evidence.allBoards)).toEqual([true]);
});

test('a board whose last will came is gone before it could be missed', () => {
  const gone = { ...nothingOutside, gone: new Set(['Roof']) };
  const outside = (t: number) => (t > at(boarded, 6) ? gone : nothingOutside);
  const { raised } = goRound(boarded, { rules, outside, sliceMs: MINUTE, to: at(boarded, 7) });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.raisedAt).toBe(at(boarded, 6) + 2 * MINUTE);
  expect(raised[0]!.evidence).toMatchObject({ board: 'Roof', lastWill: true });
});

test('a board that speaks when something changes may rest for half an hour, but not for a night', () => {
  const told = new Map<string, number>();
  const news =
    (point: string) =>
    (value: number, { hour }: { hour: number }) => {
      if (hour >= 10 && hour < 20 && deadFrom10) return null;
      const last = told.get(point);
      if (last !== undefined && Math.abs(value - last) < 0.5) return null;
      told.set(point, value);
      return value;
    };
  const bends = {
    'tub/temperature': news('tub'),
    'collector/temperature': news('collector'),
    'pump/running': news('pump'),
  };
  let deadFrom10 = false;
  expect(goRound(loopDays({ bends, days: 2 }), { rules }).raised).toEqual([]);
  deadFrom10 = true;
  told.clear();
  const { raised } = goRound(loopDays({ bends }), { rules });
  expect(raised.map(({ fault }) => fault)).toEqual(['device-silent']);
});

test('rounds begun anew in the middle of a silence know of it', () => {
  const made = silent(plain, 60);
  const { raised } = goRound(made, { rules, from: at(made, 6) + 20 * MINUTE });
  expect(raised.map(({ fault }) => fault)).toEqual(['device-silent']);
});

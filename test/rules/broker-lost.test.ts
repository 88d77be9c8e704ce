import { expect, test } from 'vitest';
import { nothingOutside, type Outside } from '../../model/minutes/minute.ts';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { brokerLost } from '../../model/rules/broker-lost.ts';
import { deviceSilent } from '../../model/rules/device-silent.ts';
import { sensorSilent } from '../../model/rules/sensor-silent.ts';
import { goRound } from './go-round.ts';
import { cutOut, loopDays } from './loop-days.ts';

const made = loopDays({ everyMs: 60_000 });
const downFrom = made.from + 6 * HOUR;
const rules = [brokerLost, deviceSilent, sensorSilent];

/** The link is down for some minutes, and nothing is heard meanwhile. */
function down(minutes: number) {
  const back = downFrom + minutes * MINUTE;
  const outside = (t: number): Outside =>
    t > downFrom && t <= back ? { ...nothingOutside, linkDownSince: downFrom } : nothingOutside;
  const heard = { ...made, traces: cutOut(made.traces, downFrom, back) };
  return goRound(heard, { rules, outside, sliceMs: MINUTE, to: made.from + 8 * HOUR });
}

test('a broker that is gone for half an hour is noted, then to be acted on, and is the only alert', () => {
  const { changes } = down(30);
  expect(changes.map(({ kind, alert }) => [kind, alert.fault])).toEqual([
    ['raised', 'broker-lost'],
    ['worse', 'broker-lost'],
    ['ended', 'broker-lost'],
  ]);
  const { alert } = changes[0]!;
  expect(alert).toMatchObject({
    severity: 'act',
    since: downFrom,
    raisedAt: downFrom + 2 * MINUTE,
  });
  expect(alert.until! - downFrom).toBe(31 * MINUTE);
});

test('a link that is back within two minutes is not worth a word', () => {
  expect(down(1).raised).toEqual([]);
});

test('a recorded gap says nothing of the broker', () => {
  const heard = { ...made, traces: cutOut(made.traces, downFrom, downFrom + HOUR) };
  expect(goRound(heard, { rules: [brokerLost] }).raised).toEqual([]);
});

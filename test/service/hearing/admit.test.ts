import { expect, test } from 'vitest';
import { TubsHeard } from '../../../collector-service/ingest/admit.ts';
import { ARRIVAL, decode, valuesOf, whyNot } from './setting.ts';

const TEMPERATURE = 'sunsteep/kowhai/tub/temperature';

/** A SenML pack of one tub temperature with a time of its own. */
const at = (ms: number) => JSON.stringify([{ t: ms / 1000, v: 37 }]);

test('a time up to 5 minutes ahead is a reading, one further ahead is not', () => {
  expect(decode(TEMPERATURE, at(ARRIVAL + 300_000)).readings[0]?.t).toBe(ARRIVAL + 300_000);
  expect(whyNot(decode(TEMPERATURE, at(ARRIVAL + 300_001)))).toEqual([
    'the time is more than 5 minutes ahead of the clock',
  ]);
  expect(whyNot(decode(TEMPERATURE, '[{"t":301,"v":37}]'))).toEqual([
    'the time is more than 5 minutes ahead of the clock',
  ]);
});

test('an old time is a reading, one that no calendar can show is not', () => {
  expect(decode(TEMPERATURE, '[{"t":268435456,"v":37}]').readings[0]?.t).toBe(268_435_456_000);
  expect(whyNot(decode(TEMPERATURE, '[{"t":-1e12,"v":37}]'))).toEqual([
    'the time is outside the years 0 to 9999',
  ]);
});

test('while the clock is wrong only what has a time of its own is kept', () => {
  const clockWrong = true;
  for (const payload of ['37', '[{"v":37}]', '[{"t":-10,"v":37}]']) {
    expect(whyNot(decode(TEMPERATURE, payload, { clockWrong })), payload).toEqual([
      'the clock of the service is wrong',
    ]);
  }
  const years = 10 * 365 * 86_400_000;
  expect(decode(TEMPERATURE, at(ARRIVAL + years), { clockWrong }).readings).toHaveLength(1);
});

test('what waited at the broker is a reading only with a time of its own', () => {
  const waited = true;
  for (const payload of ['37', '[{"v":37}]', '[{"t":-10,"v":37}]']) {
    expect(whyNot(decode(TEMPERATURE, payload, { waited })), payload).toEqual(['time unknown']);
  }
  expect(decode(TEMPERATURE, at(ARRIVAL - 3_600_000), { waited }).readings).toHaveLength(1);
});

test('a value from before is last known, and a reading only with a time of its own', () => {
  const earlier = true;
  const plain = decode(TEMPERATURE, '37', { earlier });
  expect(plain.readings).toEqual([]);
  expect(plain.unreadable).toEqual([]);
  expect(plain.lastKnown).toMatchObject([{ tub: 'kowhai', point: 'tub/temperature', value: 37 }]);
  const timed = decode(TEMPERATURE, at(ARRIVAL - 3_600_000), { earlier });
  expect(timed.readings).toHaveLength(1);
  expect(timed.lastKnown).toEqual([]);
  expect(whyNot(decode(TEMPERATURE, 'warm', { earlier }))).toHaveLength(1);
});

test('unknown points and impossible names of tubs are refused', () => {
  const why = (topic: string) => whyNot(decode(topic, '1'));
  expect(why('sunsteep/kowhai/tub/colour')).toEqual(['unknown point']);
  expect(why('sunsteep/kowhai/collector/0/temperature')).toEqual(['unknown point']);
  expect(why('sunsteep/kowhai/__proto__')).toEqual(['unknown point']);
  expect(why('sunsteep/kowhai/tub/temperature/')).toEqual(['unknown point']);
  const name = ['a tub is named by 1 to 32 of a-z, 0-9 and -, but not "service"'];
  expect(why('sunsteep/Kowhai/tub/temperature')).toEqual(name);
  expect(why(`sunsteep/${'a'.repeat(33)}/tub/temperature`)).toEqual(name);
  expect(why('sunsteep//tub/temperature')).toEqual(name);
  expect(why('sunsteep')).toEqual(name);
  expect(whyNot(decode('sunsteep/kowhai/collector/12/temperature', '1'))).toEqual([]);
});

test('what the service publishes itself is neither a reading nor unreadable', () => {
  for (const topic of [
    'sunsteep/service',
    'sunsteep/service/marker',
    'sunsteep/kowhai/report/gain-today',
    'sunsteep/kowhai/report/alerts',
  ]) {
    const { readings, unreadable, lastKnown } = decode(topic, '1');
    expect([...readings, ...unreadable, ...lastKnown], topic).toEqual([]);
  }
});

test('a topic that no wiring takes up is kept as unreadable', () => {
  expect(decode('shed/board/state', '{"t":1}').unreadable).toEqual([
    { topic: 'shed/board/state', payload: '{"t":1}', why: 'no wiring for this topic' },
  ]);
});

test("a board's last will is no reading, and not unreadable", () => {
  const boards = [{ name: 'shed', points: [], willTopic: 'shed/board/alive' }];
  const tubs = [{ id: 'kowhai', place: {} as never, boards }];
  const decoded = decode('shed/board/alive', 'gone', { tubs });
  expect(decoded).toEqual({
    readings: [],
    unreadable: [],
    lastKnown: [],
    ownTimes: [],
    isWill: true,
  });
});

test('fifty tubs are heard without a set-up, and those with one besides', () => {
  const heard = new TubsHeard(['kowhai'], []);
  const say = (tub: string) => decode(`sunsteep/${tub}/tub/temperature`, '37', { heard });
  for (let i = 1; i <= 50; i++) expect(say(`tub-${i}`).readings, `tub-${i}`).toHaveLength(1);
  expect(whyNot(say('tub-51'))).toEqual(['there are 50 tubs without a set-up already']);
  expect(say('kowhai').readings).toHaveLength(1);
  expect(say('tub-7').readings).toHaveLength(1);
  heard.forget('tub-7');
  expect(say('tub-51').readings).toHaveLength(1);
  expect(whyNot(say('tub-52'))).toHaveLength(1);
  heard.setUpAre(['kowhai', 'tub-1']);
  expect(say('tub-52').readings).toHaveLength(1);
});

test('a refused reading makes no tub', () => {
  const heard = new TubsHeard([], []);
  for (let i = 0; i < 60; i++) decode(`sunsteep/tub-${i}/tub/temperature`, 'x', { heard });
  expect(valuesOf(decode('sunsteep/late/tub/temperature', '37', { heard }))).toEqual({
    'tub/temperature': 37,
  });
});

test('a payload over 64 KiB is refused by its size, one of 64 KiB is read', () => {
  const padded = (size: number) => Buffer.from(`37${' '.repeat(size - 2)}`);
  expect(decode(TEMPERATURE, padded(65_536)).readings).toHaveLength(1);
  const { unreadable } = decode(TEMPERATURE, padded(65_537));
  expect(unreadable).toMatchObject([{ why: 'the payload is over 64 KiB' }]);
  expect(unreadable[0]!.payload).toHaveLength(200);
});

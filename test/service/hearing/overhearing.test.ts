import fc from 'fast-check';
import { afterEach, expect, test, vi } from 'vitest';
import type { Overheard } from '../../../collector-service/ingest/hearing.ts';
import { pointedAt } from '../../../collector-service/ingest/json-pointer.ts';
import { numbersIn } from '../../../collector-service/ingest/numbers-in.ts';
import { Overhearing } from '../../../collector-service/ingest/overhearing.ts';

afterEach(() => vi.useRealTimers());

const bytes = (text: string) => new TextEncoder().encode(text);
const numbers = (text: string) =>
  numbersIn(bytes(text)).map(({ pointer, value }) => [pointer, value]);

/** Overhearing on a broker of which the test is the boards. */
function overhearing() {
  let hear: ((message: Overheard) => void) | null = null;
  const clock = { t: 1000, now: () => clock.t };
  const hearing = {
    listen(to: (message: Overheard) => void) {
      hear = to;
      return () => {
        hear = null;
      };
    },
  };
  const say = (topic: string, text: string, earlier = false) =>
    hear?.({ topic, payload: bytes(text), earlier });
  return { overheard: new Overhearing(hearing, clock), say, clock, isHeard: () => hear !== null };
}

test('numbers are found wherever they stand, each with the way to it', () => {
  expect(numbers('37.4')).toEqual([[null, 37.4]]);
  expect(numbers(' on ')).toEqual([[null, 1]]);
  expect(numbers('{"a/b":{"~t":"21.5"},"list":[1,true,"off","x",null]}')).toEqual([
    ['/a~1b/~0t', 21.5],
    ['/list/0', 1],
    ['/list/1', 1],
    ['/list/2', 0],
  ]);
  for (const none of ['', 'hello', 'NaN', '"x"', '{', '[]', 'null']) {
    expect(numbers(none)).toEqual([]);
  }
});

test('whatever the document, each pointer leads to what was told of it, and little is told', () => {
  fc.assert(
    fc.property(fc.jsonValue(), (document) => {
      const found = numbersIn(bytes(JSON.stringify(document)));
      expect(found.length).toBeLessThanOrEqual(40);
      for (const { pointer, value } of found) {
        const path = (pointer ?? '')
          .split('/')
          .slice(1)
          .map((key) => key.replaceAll('~1', '/').replaceAll('~0', '~'));
        const at = pointedAt(JSON.parse(JSON.stringify(document)), path);
        expect([Number(at), Number(at === 'on' || at === 'true')]).toContain(value);
      }
    }),
    { numRuns: 200 },
  );
});

test('it hears topics that are not ours, with their course, until the time is over', () => {
  vi.useFakeTimers();
  const { overheard, say, clock, isHeard } = overhearing();
  say('shed/t', '1');
  expect(overheard.told()).toEqual({ until: null, topics: [] });
  overheard.start(2);
  for (const value of ['36.5', '36.6']) say('shed/t', value);
  say('sunsteep/kowhai/tub/temperature', '36');
  say('$SYS/load', '3');
  say('shed/\u0000old', 'x', true);
  const { until, topics } = overheard.told();
  expect(until).toBe(clock.t + 120_000);
  expect(topics).toEqual([
    {
      topic: 'shed/t',
      payload: '36.6',
      at: clock.t,
      count: 2,
      earlier: false,
      numbers: [{ pointer: null, isSwitch: false, values: [36.5, 36.6] }],
    },
    expect.objectContaining({ payload: 'x', earlier: true, numbers: [] }),
  ]);
  vi.advanceTimersByTime(120_000);
  expect(isHeard()).toBe(false);
  expect(overheard.told()).toMatchObject({ until: null, topics: [{ topic: 'shed/t' }, {}] });
  overheard.start(1);
  expect(overheard.told().topics).toEqual([]);
  overheard.stop();
  expect(isHeard()).toBe(false);
});

test('a flood of topics, values and bytes is bounded', () => {
  const { overheard, say } = overhearing();
  overheard.start(10);
  for (let n = 0; n < 2000; n++) say(`flood/${n}`, `${n}`);
  for (let n = 0; n < 500; n++) say('flood/0', `${n}`);
  say(`long/${'x'.repeat(300)}`, '1');
  say('flood/1', `{"a":[${'1,'.repeat(30_000)}1]}`);
  const { topics } = overheard.told();
  expect(topics).toHaveLength(300);
  expect(topics[0]!.numbers[0]!.values).toHaveLength(60);
  expect(topics[1]!.numbers).toEqual([]);
  expect(topics[1]!.payload.length).toBeLessThanOrEqual(200);
  overheard.stop();
});

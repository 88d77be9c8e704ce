import fc from 'fast-check';
import { expect, test } from 'vitest';
import { isTubName, pointType } from '../../../model/points.ts';
import type { Wiring } from '../../../model/setup.ts';
import { always } from './property.ts';
import { ARRIVAL, decode } from './setting.ts';

const wiring: Wiring[] = [
  { topic: 'shed/+/state', pointer: '/a/0', unit: 'degF', tub: '{1}', point: 'tub/temperature' },
  { topic: 'shed/+/plain', tub: '{1}', point: 'pump/running', scale: -1, offset: 1 },
  { topic: 'shed/+/timed', pointer: '/v', timePointer: '/t', tub: '{1}', point: 'pump/flow' },
];

const topic = fc.oneof(
  fc.constantFrom(
    'sunsteep/kowhai/tub/temperature',
    'sunsteep/kowhai/pump/running',
    'sunsteep/kowhai',
    'sunsteep/service',
    'shed/kowhai/state',
    'shed/kowhai/plain',
    'shed/kowhai/timed',
  ),
  fc.string({ unit: 'binary', maxLength: 60 }),
  fc
    .array(fc.constantFrom('sunsteep', 'kowhai', 'report', 'tub', '', '__proto__', '+', '$x'))
    .map((levels) => levels.join('/')),
);

const number = fc.oneof(
  fc.double(),
  fc.constantFrom(0, 1, 268_435_455, 268_435_456, ARRIVAL / 1000, -1e300, 1e22),
);

/** Records that look like SenML, with what does not belong there. */
const record = fc.dictionary(
  fc.constantFrom(
    ...['bn', 'bt', 'bu', 'bv', 'bs', 'bver', 'n', 'u', 't', 'ut', 'v', 'vs', 'vb', 'vd', 's'],
    ...['__proto__', 'constructor', 'x_', 'a'],
  ),
  fc.oneof(
    number,
    fc.boolean(),
    fc.constantFrom('tub/temperature', 'pump/running', 'Cel', 'kWh', '', 'x'),
    fc.jsonValue(),
  ),
);

const payload = fc.oneof(
  fc.uint8Array({ maxLength: 400 }),
  fc.json().map((text) => Buffer.from(text)),
  fc.array(record, { maxLength: 6 }).map((pack) => Buffer.from(JSON.stringify(pack))),
  fc
    .record({ a: fc.array(fc.jsonValue()), v: number, t: number })
    .map((document) => Buffer.from(JSON.stringify(document))),
  number.map((value) => Buffer.from(String(value))),
  fc
    .tuple(fc.constantFrom('[', '{"a":', '[{"v":'), fc.integer({ min: 1, max: 9_000 }))
    .map(([opening, depth]) => Buffer.from(opening.repeat(depth))),
);

test('whatever arrives, each decoder answers with sound readings or with reasons', () => {
  always(
    'decoders',
    fc.property(
      topic,
      payload,
      fc.boolean(),
      fc.boolean(),
      fc.boolean(),
      (name, bytes, earlier, waited, clockWrong) => {
        const found = decode(name, bytes, { wiring, earlier, waited, clockWrong });
        for (const { tub, point, t, value } of found.readings) {
          expect(isTubName(tub)).toBe(true);
          expect(pointType(point)).not.toBeNull();
          expect(Number.isInteger(t) && Number.isFinite(value)).toBe(true);
          if (pointType(point)!.kind === 'flag') expect([0, 1]).toContain(value);
          if (!clockWrong) expect(t).toBeLessThanOrEqual(ARRIVAL + 300_000);
        }
        for (const { payload: text, why, topic: kept } of found.unreadable) {
          expect(why).not.toBe('');
          expect(text.length).toBeLessThanOrEqual(800);
          expect(`${text}${kept}`).not.toMatch(/\p{Cc}/u);
        }
        expect(new Set(found.unreadable.map(({ why }) => why)).size).toBe(found.unreadable.length);
      },
    ),
    20_000,
  );
});

test('a number written out is read back as it was', () => {
  always(
    'plain numbers',
    fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
      const text = Buffer.from(String(value));
      const [reading] = decode('sunsteep/kowhai/tub/temperature', text).readings;
      expect(reading?.value).toBe(value + 0);
    }),
  );
});

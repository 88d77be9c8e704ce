import { expect, it } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { outlookOf } from '../../web/today/outlook.ts';
import { evening } from './house.ts';
import { present } from './situation.ts';

const at = Date.parse(present);

it('until the service has told of the evening it is waited for', () => {
  expect(outlookOf(null, at)).toEqual({ kind: 'waiting' });
});

it('an evening is told with its age once two looks were missed, and no more after two hours', () => {
  const look = (ageMs: number) => outlookOf({ evening, at: at - ageMs }, at);
  const ages = [0, 30 * MINUTE, 31 * MINUTE, 2 * HOUR].map(look);
  expect(ages.map((each) => (each.kind === 'foreseen' ? each.ageMs : each.kind))).toEqual([
    null,
    null,
    31 * MINUTE,
    2 * HOUR,
  ]);
  expect(look(2 * HOUR + 1)).toEqual({ kind: 'unknown', says: null, since: at - 2 * HOUR - 1 });
});

it('an hour that has come is not foretold any more', () => {
  const hour = Date.parse(evening.at!);
  expect(outlookOf({ evening, at: hour - MINUTE }, hour - 1).kind).toBe('foreseen');
  expect(outlookOf({ evening, at: hour - MINUTE }, hour).kind).toBe('unknown');
});

it('what the service cannot foresee keeps the reason that it gave; no answer has none', () => {
  const says = 'The water was not heard.';
  const none = { ...evening, at: null, lowC: null, highC: null, backup: null, says };
  expect(outlookOf({ evening: none, at }, at)).toEqual({ kind: 'unknown', says, since: null });
  expect(outlookOf({ evening: null, at }, at)).toEqual({
    kind: 'unknown',
    says: null,
    since: null,
  });
});

import { expect, test } from 'vitest';
import type { EveningLook } from '../../../collector-service/watch/evening-book.ts';
import { toldEvening } from '../../../collector-service/watch/told-evening.ts';
import { HOUR, MINUTE } from '../../../model/readings.ts';
import { eveningSchema } from '../../../model/shapes.ts';
import { thermostatOf } from '../../../model/thermostat.ts';
import { plainSpeaker } from '../../../model/words/speaker.ts';
import { known } from '../../physics/quarters.ts';
import { always } from '../../physics/traces.ts';

const say = plainSpeaker('UTC');
const askedAt = Date.parse('2026-03-01T14:00:00Z');
const present = askedAt + 7 * MINUTE;

/** An evening at eight whose middle is so warm, half a degree either way. */
function evening(middleC: number, said: Parameters<typeof always>[0] = {}) {
  const { settings } = always(said)[0]!;
  const look: EveningLook = {
    today: {
      settings,
      learned: known(10, 4),
      thermostat: thermostatOf([], settings),
      quarters: [],
      netKwh: () => null,
      askedAt,
      at: askedAt + 6 * HOUR,
      tubC: 37,
      airC: 12,
      baths: [],
      cameC: null,
    },
    foreseen: {
      lowC: middleC - 0.5,
      middleC,
      highC: middleC + 0.5,
      aloneC: middleC,
      bySky: false,
      days: 20,
    },
  };
  return toldEvening(look, say, present);
}

test('water that may be too hot for a bath is told before anything else', () => {
  const { says } = evening(40);
  expect(says).toMatch(
    /^The water may be above 40 °C by then, which is too hot for a bath: nobody/,
  );
  expect(says).toContain('Tonight at 20:00 39.5 to 40.5 °C, if all goes as usual.');
  expect(evening(39.4).says).toMatch(/^Tonight at 20:00/);
});

test('no start is told that has passed', () => {
  const { backup, says } = evening(30);
  for (const { start } of [backup!.latest, backup!.cheapest]) {
    expect(Date.parse(start)).toBeGreaterThanOrEqual(present);
  }
  expect(says).toMatch(/the backup must start by 1\d:\d\d and takes/);
});

test('whether there is a backup, and why it need not or cannot start, is told as a word and a sentence', () => {
  const told = (middleC: number, backup: object) => {
    const answer = evening(middleC, { backup });
    expect(eveningSchema.safeParse(answer).success).toBe(true);
    return [answer.backup, answer.why, answer.says.split('usual. ')[1]];
  };
  expect(told(36, { kind: 'none' })).toEqual([
    null,
    'no-backup',
    'There is no backup to make it 38 °C by then.',
  ]);
  expect(told(39, { kind: 'none' })).toEqual([null, 'no-backup', undefined]);
  expect(told(39, {})).toEqual([null, 'warm-enough', 'The backup is not needed for that.']);
  expect(told(36, { kind: 'gas', watts: 1 })).toEqual([
    null,
    'not-in-time',
    'The backup cannot make it 38 °C by then in the hours that it has.',
  ]);
  expect(evening(36).why).toBeNull();
});

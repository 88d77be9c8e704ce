import { expect, test } from 'vitest';
import { pumpNotRunning } from '../../model/rules/pump-not-running.ts';
import { underSetup } from '../../model/rules/rule.ts';
import { tubSettings } from '../../model/tub-settings.ts';
import { goRound } from './go-round.ts';
import { loopDays } from './loop-days.ts';

const dead = {
  happens: (scene: { pumpOn: boolean; lPerMin: number }) => {
    scene.pumpOn = false;
    scene.lPerMin = 0;
  },
};
const told = (setup = {}) =>
  goRound(loopDays({ ...dead, setup }), { rules: [pumpNotRunning] }).raised[0];

test('a rule is told later where the set-up gives it a longer delay', () => {
  const usual = told()!;
  const late = told({ faults: { 'pump-not-running': { onMin: 45 } } })!;
  expect(late.since).toBe(usual.since);
  expect(late.raisedAt - late.since).toBe(45 * 60_000);
});

test('a threshold of the set-up stands in place of the rule’s own', () => {
  const changed = underSetup(
    { ...pumpNotRunning, limits: { aboveOnK: 4, more: 1 } },
    tubSettings({
      id: 'x',
      place: { latitude: 1, longitude: 1, timeZone: 'UTC' },
      faults: { 'pump-not-running': { limits: { aboveOnK: 9 } } },
    }),
  );
  expect(changed.limits).toEqual({ aboveOnK: 9, more: 1 });
  expect(changed.onMs).toBe(pumpNotRunning.onMs);
});

import { expect, test } from 'vitest';
import { notHandled, toldAlert } from '../../model/alerts/told-alert.ts';
import { pointType } from '../../model/points.ts';
import { pointsOf } from '../../model/rules/points-of.ts';
import { rules } from '../../model/rules/rules.ts';
import { en } from '../../model/words/en.ts';
import { enFaults } from '../../model/words/en-faults.ts';
import { plainSpeaker } from '../../model/words/speaker.ts';

test('the points of a fault are those that its rule needs, then those that it uses, each once', () => {
  expect(pointsOf('pump-power-high')).toEqual([
    'pump/power',
    'pump/running',
    'pump/commanded',
    'pump/flow',
    'pump/voltage',
  ]);
  for (const { fault } of rules) {
    const points = pointsOf(fault);
    expect(new Set(points).size, fault).toBe(points.length);
    for (const point of points) expect(pointType(point), point).not.toBeNull();
  }
});

test('an alert about one point tells that one, any other the points of its rule', () => {
  const record = {
    id: 'a1',
    fault: 'pump-not-running' as const,
    severity: 'act' as const,
    since: 0,
    raisedAt: 1,
    until: null,
    unknownSince: null,
    costKwh: null,
    evidence: { differenceK: 17, collectorC: 60, tubC: 30 },
  };
  const words = { faults: enFaults, points: en.points };
  const told = (point: string | null) =>
    toldAlert('kowhai', { ...record, point }, notHandled, words, plainSpeaker('UTC'));
  expect(told(null).points).toEqual(pointsOf('pump-not-running'));
  expect(told(null).point).toBeUndefined();
  expect(told('tub/temperature').points).toBeUndefined();
  expect(told('tub/temperature').point).toBe('tub/temperature');
});

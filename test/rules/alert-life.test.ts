import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { type AlertChange, AlertLife } from '../../model/alerts/alert-life.ts';
import type { AnyRule, Finding } from '../../model/rules/rule.ts';

interface Sequence {
  group: string;
  inputs: {
    name: string;
    samples_s_value: [number, number][];
    limit: number;
    deadband: number;
    on_delay_s: number;
    off_delay_s: number;
    kind: 'high' | 'low';
  };
  expected: { events: ['raise' | 'clear', number][] };
}

const { cases } = JSON.parse(
  readFileSync(new URL('reference/alarms.json', import.meta.url), 'utf8'),
) as { cases: Sequence[] };
const sequences = cases.filter(({ group }) => group === 'delay and deadband worked sequence');

const rule = (fault: AnyRule['fault'], onMs = 0, offMs = 0, mutedBy: AnyRule['mutedBy'] = []) =>
  ({ fault, severity: 'act', onMs, offMs, needs: [], mutedBy }) satisfies AnyRule;

const present: Finding = { evidence: {} };

test('nine worked sequences of delays and deadbands raise and clear at their seconds', () => {
  expect(sequences).toHaveLength(9);
  for (const { inputs, expected } of sequences) {
    const judged = rule('water-too-hot', inputs.on_delay_s * 1000, inputs.off_delay_s * 1000);
    const life = new AlertLife([judged]);
    const events: [string, number][] = [];
    const sign = inputs.kind === 'high' ? 1 : -1;
    for (const [s, value] of inputs.samples_s_value) {
      const over = sign * (value - inputs.limit);
      const finding: Finding = over > 0 ? present : over < -inputs.deadband ? 'gone' : 'between';
      const changes: AlertChange[] = [];
      life.take(judged, null, judged.fault, finding, s * 1000, 1000, changes);
      for (const { kind } of changes) events.push([kind === 'raised' ? 'raise' : 'clear', s]);
    }
    expect(events, inputs.name).toEqual(expected.events);
  }
});

/** Takes findings at one minute after the other and tells what changed. */
function lived(life: AlertLife, judged: AnyRule, findings: readonly Finding[], start = 0) {
  const changes: AlertChange[] = [];
  findings.forEach((finding, i) => {
    life.take(judged, null, judged.fault, finding, (start + i) * 60_000, 60_000, changes);
  });
  return changes.map((change) => [change.kind, change.alert.fault]);
}

test('an alert began when its fault first showed itself, and ended when that was first gone', () => {
  const judged = rule('pump-not-running', 2 * 60_000, 2 * 60_000);
  const life = new AlertLife([judged]);
  const changes: AlertChange[] = [];
  const findings: Finding[] = [present, present, present, 'gone', 'gone', 'gone'];
  findings.forEach((finding, i) => {
    life.take(judged, null, judged.fault, finding, i * 60_000, 60_000, changes);
  });
  expect(changes.map(({ kind }) => kind)).toEqual(['raised', 'ended']);
  expect(changes[0]!.alert).toMatchObject({ since: 0, raisedAt: 120_000, until: 180_000 });
});

test('a rule that cannot see clears nothing, and says since when', () => {
  const judged = rule('pump-not-running');
  const life = new AlertLife([judged]);
  lived(life, judged, [present, 'blind', 'blind']);
  const alert = life.standing.get('pump-not-running')!;
  expect(alert).toMatchObject({ until: null, unknownSince: 60_000 });
  lived(life, judged, [present], 3);
  expect(alert.unknownSince).toBeNull();
});

test('what is not seen for a while begins its delay anew', () => {
  const judged = rule('pump-not-running', 3 * 60_000);
  const life = new AlertLife([judged]);
  expect(lived(life, judged, [present, present, 'blind', present, present, present])).toEqual([]);
  expect(lived(life, judged, [present], 6)).toEqual([['raised', 'pump-not-running']]);
});

test('of a cause and what follows from it one alone is told', () => {
  const cause = rule('pump-not-running', 5 * 60_000);
  const effect = rule('collector-stagnating', 0, 0, ['pump-not-running']);
  const life = new AlertLife([cause, effect]);
  const changes: AlertChange[] = [];
  for (let i = 0; i < 8; i++) {
    life.take(cause, null, cause.fault, present, i * 60_000, 60_000, changes);
    life.take(effect, null, effect.fault, present, i * 60_000, 60_000, changes);
  }
  expect(changes.map(({ alert }) => alert.fault)).toEqual(['pump-not-running']);
});

test('an effect that was told first ends when its cause is told', () => {
  const cause = rule('pump-not-running');
  const effect = rule('collector-stagnating', 0, 0, ['pump-not-running']);
  const life = new AlertLife([cause, effect]);
  expect(lived(life, effect, [present])).toEqual([['raised', 'collector-stagnating']]);
  const changes: AlertChange[] = [];
  life.take(cause, null, cause.fault, present, 60_000, 60_000, changes);
  expect(changes).toMatchObject([
    { kind: 'raised', alert: { fault: 'pump-not-running' } },
    { kind: 'ended', alert: { fault: 'collector-stagnating' }, because: 'pump-not-running' },
  ]);
});

test('an alert grows worse, and never milder while it stands', () => {
  const judged = rule('water-too-hot');
  const life = new AlertLife([judged]);
  const hot: Finding = { evidence: { tubC: 41.2 }, severity: 'danger' };
  expect(lived(life, judged, [present, hot, present])).toEqual([
    ['raised', 'water-too-hot'],
    ['worse', 'water-too-hot'],
  ]);
  expect(life.standing.get('water-too-hot')!.severity).toBe('danger');
});

test('what an alert costs is counted from when its fault began', () => {
  const judged = rule('pump-not-running', 59 * 60_000);
  const life = new AlertLife([judged]);
  lived(life, judged, Array<Finding>(60).fill({ evidence: {}, costW: 1200 }));
  expect(life.standing.get('pump-not-running')!.costKwh).toBeCloseTo(1.2, 6);
});

test('two points of one fault are two alerts', () => {
  const judged = rule('sensor-open');
  const life = new AlertLife([judged]);
  const changes: AlertChange[] = [];
  for (const point of ['tub/temperature', 'collector/inlet']) {
    life.take(judged, point, `sensor-open ${point}`, present, 0, 60_000, changes);
  }
  expect(changes.map(({ alert }) => alert.point)).toEqual(['tub/temperature', 'collector/inlet']);
});

test('a board that falls silent ends nothing that stands: it can only be seen no longer', () => {
  const board = rule('device-silent');
  const judged = rule('pump-not-running', 0, 0, ['device-silent']);
  const life = new AlertLife([board, judged]);
  lived(life, judged, [present]);
  expect(lived(life, board, [present], 1)).toEqual([['raised', 'device-silent']]);
  expect(life.standing.get('pump-not-running')).toMatchObject({
    until: null,
    unknownSince: 60_000,
  });
});

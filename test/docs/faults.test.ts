import { expect, test } from 'vitest';
import { faultIds } from '../../model/rules/fault-id.ts';
import type { AnyRule } from '../../model/rules/rule.ts';
import { rules } from '../../model/rules/rules.ts';
import { enFaults } from '../../model/words/en-faults.ts';
import { plainSpeaker } from '../../model/words/speaker.ts';
import { documentOf, rowsByName } from './texts.ts';

const told = rowsByName(documentOf('docs/faults.md').text);

const duration = (ms: number): string =>
  ms === 0 ? 'at once' : ms % 3_600_000 === 0 ? `${ms / 3_600_000} h` : `${ms / 60_000} min`;

function rowOf({ fault, severity, needs, onMs, offMs, minute, limits = {} }: AnyRule): string[] {
  const groups = needs.map((group) => group.map((point) => `\`${point}\``).join(' or '));
  const thresholds = Object.entries(limits).map(([name, value]) => `\`${name}\` ${value}`);
  return [
    `\`${fault}\``,
    severity,
    groups.join(', ') || 'any point',
    minute ? duration(onMs) : 'whole days',
    minute ? duration(offMs) : 'whole days',
    thresholds.join(', ') || '–',
  ];
}

test('every fault has one rule, and every rule its row', () => {
  expect(rules.map(({ fault }) => fault).sort()).toEqual([...faultIds].sort());
  expect([...told.keys()].sort()).toEqual([...faultIds].sort());
  for (const rule of rules) expect(told.get(rule.fault)).toEqual(rowOf(rule));
});

test('every fault has its words', () => {
  const say = plainSpeaker('UTC');
  const about = { evidence: {}, point: 'Collector' };
  for (const fault of faultIds) {
    const { says, first, shows, checks, over, caution } = enFaults[fault];
    const texts = [
      says(about, say),
      first,
      shows(about, say),
      over,
      ...checks,
      caution ?? 'a word',
    ];
    for (const text of texts) {
      expect(text, fault).toMatch(/^[\p{Lu}\d].{3,}[.!?]$|^a word$/u);
      expect(text, fault).not.toMatch(/NaN|undefined|null|Infinity/);
      expect(text, fault).not.toMatch(/[a-z]+-[a-z]+-[a-z]+|\b(RTD|PT100|UA|GHI)\b/);
    }
    expect(checks.length, fault).toBeGreaterThan(0);
  }
});

test('what can hurt somebody carries its caution', () => {
  for (const fault of [
    'water-too-hot',
    'tub-overheated-by-sun',
    'hot-water-to-tub',
    'freeze-danger',
    'collector-stagnating',
    'pump-not-running',
    'running-without-flow',
    'backup-without-warming',
    'cover-left-off',
  ] as const) {
    expect(enFaults[fault].caution?.length, fault).toBeGreaterThan(20);
  }
});

import { expect, test } from 'vitest';
import { inWords } from '../../../collector-service/replay/in-words.ts';
import { alert, day } from '../serve/samples.ts';

test('a replay says in words what each day brought and what would have been told, and when', () => {
  const told = {
    ...alert,
    severity: 'act',
    says: 'The pump is not turning.',
    since: '2026-03-01T20:05:00.000Z',
    raisedAt: '2026-03-01T20:20:00.000Z',
  } as const;
  const days = [{ ...day, date: '2026-03-02' }];
  const alerts = [
    { ...told, until: '2026-03-02T02:30:00.000Z', costKwh: 2.34 },
    { ...told, until: null, costKwh: null },
  ];
  const words = inWords(
    new Map([['kowhai', { days, months: [], alerts, learned: null }]]),
    () => 'Pacific/Auckland',
  );
  const [tub, first, ...lines] = words.split('\n');
  expect([tub, first]).toEqual(['kowhai', expect.stringMatching(/^ {2}2026-03-02 {2}gain /)]);
  expect(lines).toEqual([
    '  2026-03-02 09:20  Act today: The pump is not turning. (since 2026-03-02 09:05, until 2026-03-02 15:30, cost 2.3 kWh)',
    '  2026-03-02 09:20  Act today: The pump is not turning. (since 2026-03-02 09:05, still so)',
    '',
  ]);
});

import { expect, test } from 'vitest';
import { escapedText, escapedTopic } from '../../../collector-service/ingest/escaped-text.ts';
import { isoTime } from '../../../collector-service/ingest/iso-time.ts';

test.each([
  ['2026-03-02T12:00:00Z', Date.UTC(2026, 2, 2, 12)],
  ['2026-03-02T12:00:00.125+13:00', Date.UTC(2026, 2, 1, 23) + 125],
  ['2026-03-02 12:00:00-0330', Date.UTC(2026, 2, 2, 15, 30)],
  ['2026-03-02T12:00+01', Date.UTC(2026, 2, 2, 11)],
  ['2026-03-02T12:00:00,5Z', Date.UTC(2026, 2, 2, 12) + 500],
  ['2026-03-02T12:00:00.9996Z', Date.UTC(2026, 2, 2, 12, 0, 1)],
  ['2024-02-29T24:00:00Z', Date.UTC(2024, 2, 1)],
  ['2016-12-31T23:59:60Z', Date.UTC(2017, 0, 1)],
  ['0099-01-01T00:00:00Z', new Date('0099-01-01T00:00:00Z').getTime()],
])('%s is an instant', (text, t) => {
  expect(isoTime(text)).toBe(t);
});

test.each([
  '2026-03-02T12:00:00',
  '2026-03-02',
  '2026-02-29T12:00:00Z',
  '2026-13-01T12:00:00Z',
  '2026-03-00T12:00:00Z',
  '2026-03-02T25:00:00Z',
  '2026-03-02T24:00:01Z',
  '2026-03-02T12:60:00Z',
  '2026-03-02T12:00:60Z',
  '2026-03-02T12:00:00+25:00',
  '2026-03-02T12:00:00+10:99',
  '02.03.2026 12:00',
  '1772452800',
  '',
])('%j names no instant', (text) => {
  expect(isoTime(text)).toBeNull();
});

test.each([
  [Buffer.from('37 °C "warm" \\n'), '37 °C "warm" \\n'],
  [Buffer.from('a\0b\n\t\x7f'), 'a\\x00b\\x0a\\x09\\x7f'],
  [Buffer.from([0x61, 0xff, 0xc3, 0x28, 0xe2, 0x82]), 'a\\xff\\xc3(\\xe2\\x82'],
  [Buffer.from([0xed, 0xa0, 0x80, 0xf4, 0x90, 0x80, 0x80]), '\\xed\\xa0\\x80\\xf4\\x90\\x80\\x80'],
  [Buffer.from('\ufeffx\u202ey\u2028'), '\\xef\\xbb\\xbfx\\xe2\\x80\\xaey\\xe2\\x80\\xa8'],
  [Buffer.from('😀'), '😀'],
  [Buffer.from('x'.repeat(300)), 'x'.repeat(200)],
  [Buffer.from(`${'x'.repeat(199)}é`), `${'x'.repeat(199)}\\xc3`],
])('%j is escaped', (payload, text) => {
  expect(escapedText(payload)).toBe(text);
});

test('topics are kept short and printable', () => {
  expect(escapedTopic('shed/ä\u0007')).toBe('shed/ä\\x07');
  expect(escapedTopic('t'.repeat(500))).toBe(`${'t'.repeat(200)}…`);
});

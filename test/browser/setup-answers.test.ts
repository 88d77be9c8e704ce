import { describe, expect, it } from 'vitest';
import type { Setup } from '../../model/setup.ts';
import { setupSchema } from '../../model/setup.ts';
import { enQuestions } from '../../model/words/en-setup-questions.ts';
import type { Manner } from '../../model/words/speaker.ts';
import { answerIn, numberIn, typedOf } from '../../web/setup/answer.ts';
import { assumedIn, defaultAt, missingIn, standingOf } from '../../web/setup/asked.ts';
import { type Changes, placeOf, saidAt, valueAt, withChanges } from '../../web/setup/changes.ts';
import { type Field, sections } from '../../web/setup/sections.ts';

const metric: Manner = {
  ...{ locale: 'en-GB', temperature: 'C', volume: 'l', hours: 24 },
  timeZone: 'Pacific/Auckland',
};
const us: Manner = { ...metric, locale: 'en-US', temperature: 'F', volume: 'gal', hours: 12 };
const german: Manner = { ...metric, locale: 'de-DE' };

const all = Object.values(sections).flat();
const field = (path: string): Field => all.find((each) => each.path === path)!;
const answer = (path: string, typed: string, manner = metric) =>
  answerIn(typed, field(path), manner);

const place = { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' };
const setup: Setup = {
  tubs: [
    { id: 'other', place },
    { id: 'kowhai', place },
  ],
};

describe('numbers as they are typed', () => {
  it('take the minus sign of a keyboard, a comma and groups of thousands', () => {
    expect(numberIn('−41,27', metric)).toBe(-41.27);
    expect(numberIn('1,150', metric)).toBe(1150);
    expect(numberIn('0,017', metric)).toBe(0.017);
    expect(numberIn('1.150', german)).toBe(1150);
    expect(numberIn('1.150,5', german)).toBe(1150.5);
    expect(numberIn(' 1 150 ', metric)).toBe(1150);
    for (const text of ['', 'warm', '1.2.3', '--3', '1e3', 'NaN']) {
      expect(numberIn(text, metric), text).toBeNull();
    }
  });

  it('have no thousands where they are degrees, as a map writes them anywhere', () => {
    const locales = ['en-DE', 'en-ES', 'en-IT', 'en-NL', 'en-AT', 'de-DE', 'en-GB', 'en-US'];
    for (const locale of locales) {
      const there = { ...metric, locale };
      const typed = (text: string) => answer('/place/latitude', text, there);
      expect(typed('52.520'), locale).toEqual({ value: 52.52 });
      expect(typed('52,520'), locale).toEqual({ value: 52.52 });
      expect(typed('-41.271°'), locale).toEqual({ value: -41.271 });
      expect(answer('/place/longitude', '173.284', there), locale).toEqual({ value: 173.284 });
      const shown = typedOf(-41.271, field('/place/latitude'), there);
      expect(typed(shown as string), locale).toEqual({ value: -41.271 });
    }
    expect(answer('/tub/litres', '1.150', { ...metric, locale: 'en-DE' })).toEqual({ value: 1150 });
  });

  it('are kept in our units and refused in the person’s', () => {
    expect(answer('/tub/targetC', '100.4', us)).toEqual({ value: 38 });
    expect(answer('/controller/switchOnK', '9', us)).toEqual({ value: 5 });
    expect(answer('/tub/litres', '300', us)).toEqual({ value: 1135.6235352 });
    expect(answer('/tub/targetC', '110', us)).toEqual({
      ...{ wrong: 'bounds', low: '50', high: '107.6', above: false },
    });
    expect(answer('/tub/targetC', '107.6', us)).toEqual({ value: 42 });
    expect(answer('/loop/flowLPerMin', '0')).toMatchObject({ wrong: 'bounds', above: true });
    expect(answer('/tub/seats', '4.5')).toEqual({ wrong: 'whole' });
    expect(answer('/tub/seats', 'four')).toEqual({ wrong: 'number' });
  });

  it('come back as they went in', () => {
    const shown = typedOf(1135.6235352, field('/tub/litres'), us);
    expect(shown).toBe('300');
    expect(typedOf(0.015, field('/collectors/a2'), german)).toBe('0,015');
  });
});

describe('other answers', () => {
  it('are none where nothing was typed, and refused where something is needed', () => {
    expect(answer('/tub/litres', ' ')).toEqual({});
    expect(answer('/place/latitude', '')).toEqual({ wrong: 'needed' });
  });

  it('are refused where the service would refuse them', () => {
    expect(answer('/notify/mail/from', 'nobody')).toEqual({ wrong: 'mail' });
    expect(answer('/notify/mail/to', 'a@b.example\nc@d.example')).toEqual({
      value: ['a@b.example', 'c@d.example'],
    });
    expect(answer('/notify/webhook/url', 'ftp://x.example')).toEqual({ wrong: 'web' });
    expect(answer('/tariff/currency', 'nzd')).toEqual({ value: 'NZD' });
    expect(answer('/tariff/currency', 'NZ$')).toEqual({ wrong: 'currency' });
  });

  it('of hours may go over midnight, and end with the day', () => {
    const bands = [{ days: [5, 1], from: '23:00', to: '00:00', price: '0,17' }];
    expect(answerIn(bands, field('/tariff/bands'), metric)).toEqual({
      value: [{ days: [1, 5], from: '23:00', to: '24:00', price: 0.17 }],
    });
    const kept = [{ days: [1], from: '16:00', to: '24:00' }];
    expect(typedOf(kept, field('/backup/hours'), metric)).toEqual([
      { days: [1], from: '16:00', to: '00:00' },
    ]);
    const noDay = [{ days: [], from: '16:00', to: '22:00' }];
    expect(answerIn(noDay, field('/backup/hours'), metric)).toEqual({ wrong: 'spans' });
    expect(answerIn([], field('/backup/hours'), metric)).toEqual({});
  });
});

describe('changes by path', () => {
  it('are put onto whatever stands, and take nothing else with them', () => {
    const newer: Setup = { ...setup, wiring: [], notify: { mail: null } };
    const changed = withChanges(newer, 'kowhai', {
      '/tub/litres': { value: 1150 },
      '/corrections/collector~1inlet/offset': { value: -0.2 },
      '/notify/quiet': { value: { from: '21:00', to: '08:00' } },
    });
    expect(changed).toEqual({
      tubs: [
        { id: 'other', place },
        {
          ...{ id: 'kowhai', place, tub: { litres: 1150 } },
          corrections: { 'collector/inlet': { offset: -0.2 } },
        },
      ],
      wiring: [],
      notify: { mail: null, quiet: { from: '21:00', to: '08:00' } },
    });
    expect(saidAt(changed, 'kowhai', '/corrections/collector~1inlet/offset')).toBe(-0.2);
    expect(setup.tubs[1]).toEqual({ id: 'kowhai', place });
  });

  it('that take the last of an object away take the object away', () => {
    const priced = withChanges(setup, 'kowhai', { '/carbon/gPerKwh': { value: 98 } });
    expect(withChanges(priced, 'kowhai', { '/carbon/gPerKwh': {} })).toEqual(setup);
  });

  it('find the field that the service refused', () => {
    expect(placeOf('/tubs/1/tub/litres', setup, 'kowhai')).toBe('/tub/litres');
    expect(placeOf('/tubs/0/tub/litres', setup, 'kowhai')).toBeNull();
    expect(placeOf('/notify/mail/host', setup, 'kowhai')).toBe('/notify/mail/host');
    expect(valueAt(setup, '/wiring/0')).toBeUndefined();
  });
});

describe('every question', () => {
  it('has words, and bounds that the schema has too', () => {
    expect(all.map(({ path }) => path).toSorted()).toEqual(Object.keys(enQuestions).toSorted());
    let compared = 0;
    for (const each of all) {
      if (each.kind !== 'number' || each.path.startsWith('/notify/')) continue;
      const rest: Changes =
        each.path === '/tariff/otherwise' ? { '/tariff/currency': { value: 'NZD' } } : {};
      const takes = (value: number) =>
        setupSchema.safeParse(withChanges(setup, 'kowhai', { ...rest, [each.path]: { value } }))
          .success;
      expect(takes(each.high), each.path).toBe(true);
      expect(takes(each.high + 1), each.path).toBe(false);
      expect(takes(each.low), each.path).toBe(!each.above);
      expect(takes(each.low - 1), each.path).toBe(false);
      if (!each.whole) expect(takes((each.low + each.high) / 2), each.path).toBe(true);
      compared++;
    }
    expect(compared).toBe(25);
  });

  it('of a choice has a word for each', () => {
    for (const each of all) {
      if (each.kind !== 'choice') continue;
      expect(Object.keys(enQuestions[each.path]!.choices!)).toEqual(each.choices);
    }
  });

  it('has a default, or is open, and says which', () => {
    expect(defaultAt(setup, 'kowhai', '/collectors/azimuthDeg')).toBe(0);
    expect(standingOf(setup, 'kowhai', field('/tub/litres'))).toBe('assumed');
    expect(standingOf(setup, 'kowhai', field('/tub/lossWPerK'))).toBe('learned');
    expect(standingOf(setup, 'kowhai', field('/tariff/otherwise'))).toBe('open');
    expect(standingOf(setup, 'kowhai', field('/place/latitude'))).toBe('said');
    expect(missingIn({ tubs: [] }, 'kowhai', 'place')).toHaveLength(3);
    expect(assumedIn(setup, 'kowhai', 'tub').map(({ path }) => path)).toEqual([
      ...['/tub/litres', '/tub/seats', '/tub/targetC', '/tub/limitC'],
    ]);
  });
});

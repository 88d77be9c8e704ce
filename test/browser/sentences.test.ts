import { describe, expect, it } from 'vitest';
import { freshness, type Situation, stateOf } from '../../model/state.ts';
import { en } from '../../model/words/en.ts';
import { sentenceOf } from '../../model/words/sentence.ts';
import { plainSpeaker, speakerOf } from '../../model/words/speaker.ts';
import { alert, before, situation, value } from './situation.ts';

const say = plainSpeaker('Pacific/Auckland');
const american = speakerOf({
  locale: 'en-US',
  temperature: 'F',
  volume: 'gal',
  hours: 12,
  timeZone: 'Pacific/Auckland',
});

function told(s: Situation, speaker = say) {
  const { state } = stateOf(s);
  return { state, ...sentenceOf(state, s, en, speaker) };
}

/** 21:30 in Nelson, two hours and more after sunset. */
const evening = '2026-03-01T08:30:00.000Z';
const cloudy = { pumpOn: false, collectorC: 24, tubC: 36.1 };

describe('the first line says what is so, and the second what goes with it', () => {
  it('heating', () => {
    expect(told(situation())).toEqual({
      state: 'heating',
      sentence: 'The sun is heating your tub.',
      detail: '1.6 kW is going in. The water gains half a degree an hour.',
    });
  });

  it('heating, by three sensors alone', () => {
    const s = situation({ figures: { powerBasis: 'estimated' } });
    expect(told(s).detail).toMatch(/^1\.6 kW is going in, estimated\./);
  });

  it('heating, where people count in Fahrenheit', () => {
    expect(told(situation(), american).detail).toBe(
      '1.6 kW is going in. The water gains 0.9 degrees an hour.',
    );
  });

  it('heating, with the water losing more than it gets', () => {
    const s = situation({ powerW: 180, figures: { tubKPerH: -0.21 } });
    expect(told(s).detail).toBe('180 W is going in. The water loses 0.2 degrees an hour.');
  });

  it('a pump that has just started', () => {
    const s = situation({ powerW: 0, figures: { pumpChangedAt: before(120) } });
    expect(told(s)).toMatchObject({
      state: 'pump-running',
      sentence: 'The pump has just started.',
    });
  });

  it('a pump that runs on this long after the service says the loop has settled', () => {
    const s = situation({ powerW: 0, figures: { pumpChangedAt: before(120), settling: false } });
    expect(told(s).state).toBe('running-without-heat');
  });

  it('a pump that runs, while the heat cannot be known', () => {
    const s = situation({ powerW: null });
    expect(told(s)).toEqual({
      state: 'pump-running',
      sentence: 'The pump is running.',
      detail: 'For 4 h. How much heat arrives is not known just now.',
    });
  });

  it('a pump without heat: usual while the collector is hardly warmer', () => {
    const s = situation({ powerW: 20, figures: { pumpChangedAt: before(600), collectorC: 38 } });
    expect(told(s)).toEqual({
      state: 'running-without-heat',
      sentence: 'The pump is running, but no heat arrives.',
      detail: 'For 10 min: usual when a cloud passes or the evening comes.',
    });
  });

  it('a pump without heat: not usual with a hot collector', () => {
    const s = situation({ powerW: 20, figures: { pumpChangedAt: before(600), collectorC: 88 } });
    expect(told(s).detail).toBe('For 10 min: not usual. Does water come back into the tub?');
  });

  it('a pump at night, and what it costs', () => {
    const s = situation({ at: evening, powerW: -430, figures: { heardAt: before(5, evening) } });
    expect(told({ ...s, figures: { ...s.figures, pumpChangedAt: before(1500, evening) } })).toEqual(
      {
        state: 'running-without-heat',
        sentence: 'The pump is running, but no heat arrives.',
        detail: 'For 25 min: not usual with the sun down. 430 W is leaving the tub.',
      },
    );
  });

  it('a full tub', () => {
    const s = situation({ powerW: 0, figures: { pumpOn: false, tubC: 38.7 } });
    expect(told(s)).toEqual({
      state: 'warm-enough',
      sentence: 'Your tub is warm enough.',
      detail: 'Water 38.7 °C. The pump rests so that the water stays under 39.5 °C.',
    });
  });

  it('a tub 0.86 K below its limit is not full, one 0.84 K below is, and the service knows better', () => {
    const at = (tubC: number, limitPause: boolean | null = null) =>
      told(situation({ powerW: 0, figures: { pumpOn: false, tubC, collectorC: 41, limitPause } }));
    expect(at(38.64).state).toBe('waiting');
    expect(at(38.66).state).toBe('warm-enough');
    expect(at(38.2, true).state).toBe('warm-enough');
    expect(at(38.66, false).state).toBe('waiting');
  });

  it('waiting for sun', () => {
    const s = situation({ powerW: 0, figures: cloudy });
    expect(told(s)).toEqual({
      state: 'waiting',
      sentence: 'Waiting for sun.',
      detail:
        'Collector 24 °C, water 36.1 °C: the pump starts when the collector is 7 degrees warmer.',
    });
    expect(told(s, american).detail).toBe(
      'Collector 75 °F, water 97.0 °F: the pump starts when the collector is 13 degrees warmer.',
    );
  });

  it('a hot collector and a pump that rests', () => {
    const s = situation({ powerW: 0, figures: { pumpOn: false, collectorC: 91, tubC: 34.6 } });
    expect(told(s)).toEqual({
      state: 'idle',
      sentence: 'No heat is reaching the tub.',
      detail: 'The collector stands at 91 °C, the water at 34.6 °C.',
    });
  });

  it('a tub of which only the water is heard says what would tell the rest', () => {
    const s = situation({ powerW: null, figures: { pumpOn: null, collectorC: null } });
    expect(told(s)).toEqual({
      state: 'idle',
      sentence: 'Your sensors are being heard.',
      detail:
        'The water is at 36.4 °C. Whether the pump runs is not heard; a contact or a power meter at the pump would tell. ' +
        'The temperature of the collectors is not heard; a sensor at their hot end would tell.',
    });
  });

  const night = (changes: Parameters<typeof situation>[0] = {}) =>
    situation({
      at: evening,
      powerW: 0,
      values: {},
      ...changes,
      figures: {
        pumpOn: false,
        heardAt: before(8, changes.at ?? evening),
        tubC: 37.1,
        tubKPerH: -0.2,
        usualNightKPerH: -0.2,
        ...changes.figures,
      },
    });

  it('night', () => {
    expect(told(night())).toEqual({
      state: 'night',
      sentence: 'The sun put in 6.2 kWh today.',
      detail: '37.1 °C, losing 0.2 degrees an hour; a usual night is 0.2 degrees.',
    });
  });

  it('before sunrise the day before is what counts', () => {
    const s = night({ at: '2026-02-28T13:00:00.000Z' });
    expect(told(s).sentence).toBe('The sun put in 8.1 kWh yesterday.');
  });

  it('what was estimated is told as about so much, and what is not known is not told as nothing', () => {
    const { day } = situation();
    expect(told(night({ day: { ...day!, basis: 'estimated' } })).sentence).toBe(
      'The sun put in about 6.2 kWh today.',
    );
    expect(told(night({ day: { ...day!, gainKwh: null, basis: null } })).sentence).toBe(
      'What the sun put in today is not known.',
    );
    expect(told(night({ day: { ...day!, gainKwh: 0 } })).sentence).toBe(
      'The sun put in nothing today.',
    );
  });

  it('a polar night is night by the sun alone, a polar summer never is', () => {
    const polar = (sunDeg: number) =>
      told(night({ figures: { sunrise: null, sunset: null, sunDeg, collectorC: 20 } })).state;
    expect(polar(-5)).toBe('night');
    expect(polar(5)).toBe('waiting');
  });

  it('a zone whose date has the sunset before the sunrise does not turn day into night', () => {
    const zone = {
      sunset: '2026-03-01T07:07:00.000Z',
      sunrise: '2026-03-01T17:59:00.000Z',
      collectorC: 20,
    };
    expect(told(night({ at: '2026-03-01T01:30:00.000Z', figures: zone })).state).toBe('waiting');
    expect(told(night({ figures: zone })).state).toBe('night');
  });

  it('drained', () => {
    const s = situation({ figures: { drainedSince: '2026-02-20T00:00:00.000Z' } });
    expect(told(s)).toEqual({
      state: 'drained',
      sentence: 'Drained for the winter since Friday 20 February.',
      detail: 'Only the sensors are watched.',
    });
  });

  it('no set-up yet counts what is missing', () => {
    const missing = ['place/latitude', 'place/longitude', 'place/timeZone'];
    expect(told(situation({ figures: { missing } })).sentence).toBe(
      'Your sensors are being heard. Three things are missing before heat can be worked out.',
    );
    expect(told(situation({ figures: { missing: ['place'] } }))).toMatchObject({
      state: 'no-setup',
      sentence: 'Your sensors are being heard. One thing is missing before heat can be worked out.',
      detail: 'Where the tub stands, and its time zone.',
    });
  });

  it('no reading yet', () => {
    expect(told(situation({ values: {}, figures: { heardAt: null } })).sentence).toBe(
      'Nothing has spoken yet.',
    );
  });
});

describe('silence', () => {
  const heard = (ageS: number, everyS: number | null) =>
    told(
      situation({
        values: {
          'tub/temperature': value(36.4, ageS, { everyS }),
          'pump/running': value(1, 9000, { everyS: 1, longestGapMin: 1440 }),
        },
        figures: { heardAt: before(ageS) },
      }),
    );

  it('is five minutes where sensors speak often, three intervals where they do not', () => {
    expect(heard(300, 10).state).toBe('heating');
    expect(heard(301, 10).state).toBe('silent');
    expect(heard(1800, 600).state).toBe('heating');
    expect(heard(1801, 600).state).toBe('silent');
  });

  it('is a quarter of an hour where no interval is known', () => {
    expect(heard(900, null).state).toBe('heating');
    expect(heard(901, null).state).toBe('silent');
  });

  it('says since when, with the date where that was not today', () => {
    expect(heard(1500, 10).sentence).toBe('Nothing heard since 14:05.');
    expect(heard(86_400, 10).sentence).toMatch(/^Nothing heard since 28 February\b.* 14:30\.$/);
  });

  it('stands before a state that was worked out from old figures, and behind a danger', () => {
    const s = situation({
      figures: { heardAt: before(4000) },
      alerts: [alert({ severity: 'danger', fault: 'water-too-hot' })],
    });
    expect(told(s).state).toBe('danger');
    expect(told({ ...s, alerts: [] }).state).toBe('silent');
  });
});

describe('danger and what is to be done', () => {
  it('hot water is told with its temperature, since when, and what to do first', () => {
    const s = situation({
      values: { 'tub/temperature': value(42.3, 8) },
      figures: { tubC: 42.3 },
      alerts: [
        alert({ severity: 'act' }),
        alert({ severity: 'danger', fault: 'water-too-hot', checks: ['Nobody in the water.'] }),
      ],
    });
    expect(told(s)).toEqual({
      state: 'danger',
      sentence: 'Do not get in. The water is at 42.3 °C.',
      detail: 'Since 10:05. First: Nobody in the water.',
    });
    expect(stateOf(s).onTop).toHaveLength(1);
  });

  it('another danger is told in its own sentence', () => {
    const says = 'The collector is at 1.4 °C and the pump is off.';
    const s = situation({ alerts: [alert({ severity: 'danger', fault: 'freeze-danger', says })] });
    expect(told(s).sentence).toBe(says);
  });

  it('water at 41 °C is a danger before any alert could be raised', () => {
    const at = (tubC: number) =>
      told(situation({ values: { 'tub/temperature': value(tubC, 8) }, figures: { tubC } }));
    expect(at(41).sentence).toBe('Do not get in. The water is at 41.0 °C.');
    expect(at(40.9).sentence).toBe('Too hot to get in: 40.9 °C.');
    expect(at(40.9).detail).toMatch(/^The sun is heating your tub\. 1\.6 kW/);
    expect(at(40).sentence).toBe('The sun is heating your tub.');
  });

  it('an alert that is to be acted on today stands on top unless it ended or was told to be quiet', () => {
    const onTop = (changes: Parameters<typeof alert>[0]) =>
      stateOf(situation({ alerts: [alert(changes)] })).onTop.length;
    expect(onTop({})).toBe(1);
    expect(onTop({ until: before(60) })).toBe(0);
    expect(onTop({ severity: 'look' })).toBe(0);
    expect(onTop({ shelvedUntil: before(-60) })).toBe(0);
    expect(onTop({ shelvedUntil: before(60) })).toBe(1);
  });
});

describe('age', () => {
  it('a value is late after three intervals and gone after its longest gap', () => {
    const at = Date.parse(before(0));
    const age = (ageS: number, rest = {}) => freshness(value(1, ageS, rest), at);
    expect([30, 31, 900, 901].map((s) => age(s))).toEqual(['fresh', 'late', 'late', 'gone']);
    expect(age(3600, { longestGapMin: 60 })).toBe('late');
    expect(age(3601, { longestGapMin: 60 })).toBe('gone');
    expect(age(300, { everyS: null })).toBe('fresh');
    expect(age(301, { everyS: null })).toBe('late');
    expect(age(0, { time: null })).toBe('gone');
    expect(freshness(undefined, at)).toBe('gone');
  });

  it('a late temperature says its age, a gone one is not said', () => {
    const waiting = (tubAgeS: number) =>
      told(
        situation({
          powerW: 0,
          values: {
            'tub/temperature': value(36.1, tubAgeS),
            'collector/temperature': value(24, 8),
          },
          figures: cloudy,
        }),
      ).detail;
    expect(waiting(400)).toContain('water 36.1 °C (6 min ago)');
    expect(waiting(1000)).toBe(
      'The collector stands at 24 °C. The temperature of the water is not heard; a sensor in the tub would tell.',
    );
  });
});

describe('figures', () => {
  it('a range is rounded away from its middle, in the digits of the middle', () => {
    expect(say.energyRange(6.2, 6.2 - 0.4, 6.2 + 0.4)).toEqual(['5.8', '6.6']);
    expect(say.energyRange(6.183, 5.803, 6.563)).toEqual(['5.8', '6.6']);
    expect(say.energyRange(131, 117.2, 144.8)).toEqual(['117', '145']);
    expect(say.energyRange(9.8, 9.3, 10.31)).toEqual(['9.3', '10.4']);
  });

  it('a range of temperatures is in half degrees, in whole ones where it is wide, rounded outwards', () => {
    expect(say.temperatureRange(37.17, 37.93)).toEqual(['37.0', '38.0']);
    expect(say.temperatureRange(37.5, 38)).toEqual(['37.5', '38.0']);
    expect(say.temperatureRange(37.2, 37.4)).toEqual(['37.0', '37.5']);
    expect(say.temperatureRange(36, 38)).toEqual(['36.0', '38.0']);
    expect(say.temperatureRange(35.9, 38)).toEqual(['35', '38']);
    expect(say.temperatureRange(-0.4, 0.1)).toEqual(['−0.5', '0.5']);
    expect(american.temperatureRange(37.17, 37.93)).toEqual(['98.5', '100.5']);
    expect(en.evening.range(36, 39.4, american)).toBe('96 to 103 °F');
  });

  it('energies have two digits below ten and none after the point above', () => {
    expect([0, 0.04, 6.183, 9.94, 9.96, 131.4].map(say.energy)).toEqual([
      '0.0 kWh',
      '0.0 kWh',
      '6.2 kWh',
      '9.9 kWh',
      '10 kWh',
      '131 kWh',
    ]);
  });

  it('nothing is ever minus zero, and a minus is a minus sign', () => {
    expect(say.temperature(-0.04)).toBe('0.0 °C');
    expect(say.temperature(-3.2)).toBe('−3.2 °C');
  });

  it('hours, dates and money follow the person', () => {
    const instant = Date.parse('2026-03-01T01:05:00Z');
    expect(say.time(instant)).toBe('14:05');
    expect(american.time(instant)).toBe('2:05 PM');
    expect(say.date('2026-03-01')).toBe('Sunday 1 March');
    expect(american.date('2026-03-01')).toBe('Sunday, March 1');
    expect(say.date('2025-03-01', '2026')).toMatch(/^Saturday,? 1 March 2025$/);
    expect(say.dateOf(Date.parse('2026-02-28T11:00:00Z'))).toBe('2026-03-01');
    expect(say.money(1.9, 'NZD')).toBe('NZ$1.90');
    expect(american.volume(1150)).toBe('304 gal');
  });

  it('durations are told in the two units that matter', () => {
    const second = 1000;
    expect(
      [8, 59.9, 60, 3599, 3600, 16_200, 200_000].map((s) => en.time.duration(s * second)),
    ).toEqual(['8 s', '59 s', '1 min', '59 min', '1 h', '4 h 30 min', '2 days']);
  });
});

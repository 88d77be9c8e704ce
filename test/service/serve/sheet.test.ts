import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { html } from '../../../collector-service/serve/html.ts';
import { asPage, asScript, type House, openHouse, viewer } from './house.ts';
import { kowhai } from './samples.ts';
import { dates, dayOf, gaps, march, type Paper, put, wholeMarch } from './sheet-house.ts';

let house: House;
beforeEach(async () => {
  house = await openHouse();
});
afterEach(() => house.close());

const path = '/api/tubs/kowhai/months/2026-03/sheet';
const get = (url = path, headers: Record<string, string> = asScript) =>
  house.app.inject({ url, headers });

/** What a person reads on it, a line for each piece. */
async function read(changes: Partial<Paper> = {}, query = ''): Promise<string[]> {
  put({ ...wholeMarch, ...changes }, house);
  const answer = await get(path + query);
  expect(answer.statusCode).toBe(200);
  return answer.body
    .replace(/<head>.*<\/head>/s, '')
    .split(/<\/(?:tr|li|p|h1|h2|footer)>/)
    .map((piece) => piece.replace(/<\/t[hd]>/g, ' ').replace(/<[^>]*>/g, ''))
    .map((piece) => piece.replace(/&#39;/g, "'").replace(/&amp;/g, '&').replace(/\s+/g, ' ').trim())
    .filter((piece) => piece !== '');
}

describe('the sheet', () => {
  test('says whose month it is, its figures and their doubt, and how they come about', async () => {
    const lines = await read();
    expect(lines).toEqual(
      expect.arrayContaining([
        'Kōwhai Terrace',
        'March 2026',
        'The sun saved 131 kWh of backup energy.',
        'Heat from the sun, measured 158 kWh 146 – 171',
        'Heat that the loop took out again 1.2 kWh',
        'Of use: what the backup need not give 139 kWh 126 – 153',
        'Saved, electricity of the backup 131 kWh 117 – 146',
        'That in money NZ$39 NZ$35 – NZ$44',
        'That in CO₂ 13 kg 11 kg – 15 kg',
        'Electricity of pump and controller 2.1 kWh',
        'Water, lowest and highest 34.5 °C to 39.1 °C',
        'Days heard 31 of 31; worked out for 97 % of the time',
        'Sun 1 5.1 4.5 4.2',
        'Tue 31 5.1 4.5 4.2',
        'Together 158.4 139.2 131.1',
        'Every day counts in full.',
        'Nothing was entered.',
        'Made by Sunsteep on Monday, 20 April 2026, 14:05 (Pacific/Auckland).',
      ]),
    );
    const method = lines[lines.indexOf('How it is worked out') + 1]!;
    expect(method.match(/\.(?= |$)/g)).toHaveLength(3);
    expect(method).toMatch(/EN 1434-1.*backup alone.*k = 2/);
  });

  test('speaks the person’s degrees, clock and numbers', async () => {
    const lines = await read({}, '?language=en-US&temperature=F&hours=12');
    expect(lines).toContain('Water, lowest and highest 94.1 °F to 102.4 °F');
    expect(lines.at(-1)).toMatch(/Monday, April 20, 2026, 2:05 PM/);
    // a language that has no words yet keeps English, in numbers and dates too
    const other = await read({}, '?language=fr-FR');
    expect(other).toContain('March 2026');
    expect(other).toContain('Together 158.4 139.2 131.1');
  });

  test('of a month that is not over tells up to when, and lists no day to come', async () => {
    const days = dates('2026-03', 5).map((date) => dayOf(date));
    const month = { ...march, days: 5, basis: 'estimated' as const };
    const lines = await read({ month, days, at: '2026-03-05T02:00:00Z' });
    expect(lines).toContain('March 2026, up to Thursday 5 March');
    expect(lines).toContain('The sun saved about 131 kWh of backup energy.');
    expect(lines.filter((line) => /^(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d+ /.test(line))).toHaveLength(
      5,
    );
    expect(lines.at(-1)).toContain('may still move a little');
    expect(lines.join(' ')).toContain('No flow was measured');
  });

  test('lists the days and hours that are not counted, and why', async () => {
    const unknown = { savedKwh: null, usefulKwh: null };
    const days = dates('2026-03', 31)
      .filter((date) => !/-(09|14|15|16)$/.test(date))
      .map((date) => (date === '2026-03-20' ? dayOf(date, unknown) : dayOf(date)));
    const lines = await read({ days, month: { ...march, days: 27, notCounted: gaps(2) } });
    const at = lines.indexOf('Not counted, and why');
    expect(lines.slice(at + 1, at + 5)).toEqual([
      '9 Mar, 14 – 16 Mar: sensors not heard',
      '20 Mar: what was saved is not known',
      '1 Mar, 14:00 to 14:30: sensors not heard',
      '2 Mar, 14:00 to 14:30: sensors not heard',
    ]);
    expect(lines).toContain('Mon 9 not heard');
    expect(lines).toContain('Fri 20 5.1 – –');
  });

  test('puts whole days that do not count together by why, and tells each day once', async () => {
    const day = (date: string, why: string) => ({
      from: new Date(Date.parse(`${date}T00:00:00Z`) - 13 * 3_600_000).toISOString(),
      to: new Date(Date.parse(`${date}T00:00:00Z`) + 11 * 3_600_000).toISOString(),
      why,
    });
    const drained = dates('2026-03', 31).slice(3, 12);
    const notCounted = [
      ...drained.map((date) => day(date, 'the tub was drained')),
      day('2026-03-20', 'not heard'),
    ];
    const days = dates('2026-03', 31)
      .filter((date) => date !== '2026-03-19')
      .map((date) => dayOf(date, drained.includes(date) ? { savedKwh: null } : {}));
    const lines = await read({ days, month: { ...march, notCounted } });
    const at = lines.indexOf('Not counted, and why');
    expect(lines.slice(at + 1, at + 4)).toEqual([
      '19 – 20 Mar: sensors not heard',
      '4 – 12 Mar: the tub was drained',
      'From the owner’s log',
    ]);
  });

  test('lists what touches the month from the log, the oldest first, each in one line', async () => {
    const log: Paper['log'] = [
      { kind: 'remark', from: '2026-04-02T00:00:00Z', note: 'April' },
      { kind: 'bathing', from: '2026-03-07T06:00:00Z', until: '2026-03-07T08:30:00Z' },
      { kind: 'away', from: '2026-02-20T00:00:00Z', until: '2026-03-03T00:00:00Z' },
      { kind: 'remark', from: '2026-02-25T00:00:00Z', note: 'February' },
      { kind: 'filter-cleaned', from: '2026-03-31T10:30:00Z', note: ' leaves\n in it ' },
      { kind: 'remark', from: '2026-03-10T00:00:00Z', note: 'x'.repeat(2000) },
    ];
    const lines = await read({ log });
    const at = lines.indexOf('From the owner’s log');
    expect(lines.slice(at + 1, at + 5)).toEqual([
      '20 Feb – 3 Mar: Away',
      '7 Mar, 19:00–21:30: Bathing',
      `10 Mar, 13:00: Remark. ${'x'.repeat(109)}…`,
      '31 Mar, 23:30: Filter cleaned. leaves in it',
    ]);
    expect(lines[at + 5]).toBe('Day by day, kWh');
  });

  test('says how many more there are than it has room for', async () => {
    const log = dates('2026-03', 31).map((date) => ({
      ...{ kind: 'bathing' as const, from: `${date}T06:00:00Z` },
    }));
    const lines = await read({ log, month: { ...march, notCounted: gaps(31) } });
    expect(lines.filter((line) => line.endsWith('sensors not heard'))).toHaveLength(5);
    expect(lines.filter((line) => line.endsWith(': Bathing'))).toHaveLength(6);
    expect(lines).toContain('and 26 more of them');
    expect(lines).toContain('and 25 more, not shown here');
  });

  test('tells what is not known as that, and no savings without a backup', async () => {
    const nothing = { savedKwh: null, usefulKwh: null, savedMoney: null, savedCo2Kg: null };
    const lines = await read({ month: { ...march, ...nothing, pumpKwh: null, tubLowC: null } });
    expect(lines).toContain('The sun put in 158 kWh of heat.');
    expect(lines).toContain('Saved, electricity of the backup not known');
    expect(lines).toContain('That in money no price entered');
    expect(lines).toContain('Water, lowest and highest not known');
    house.watching.versions = [
      { setup: { tubs: [{ ...kowhai, backup: { kind: 'none' } }] }, from: 0 },
    ];
    const without = await read({ month: { ...march, ...nothing } });
    expect(without).toContain('Saved no backup');
    expect(without).toContain('That in money no backup');
    expect(without.join(' ')).toContain('There is no backup whose energy');
  });

  test('of gas the ranges of money and CO₂ are not told, since the pump comes off them alone', async () => {
    house.watching.versions = [
      { setup: { tubs: [{ ...kowhai, backup: { kind: 'gas' } }] }, from: 0 },
    ];
    const lines = await read();
    expect(lines).toContain('Saved, gas of the backup 131 kWh 117 – 146');
    expect(lines).toContain('That in money NZ$39');
    expect(lines).toContain('That in CO₂ 13 kg');
  });

  test('a bad month costs more than it saved', async () => {
    const bad = { savedKwh: -2.1, savedUncertaintyKwh: 0.9, savedMoney: -0.63, savedCo2Kg: null };
    const lines = await read({ month: { ...march, ...bad } });
    expect(lines).toContain('That in money −NZ$0.63 −NZ$1.17 – −NZ$0.09');
    expect(lines).toContain('That in CO₂ not entered');
    expect(lines).toContain('The loop cost 2.1 kWh more than it saved.');
    expect(lines).toContain('Saved, electricity of the backup −2.1 kWh −3.9 – −0.3');
  });
});

describe('who asks for it', () => {
  test('may be a viewer of that tub, and nobody else', async () => {
    put(wholeMarch, house);
    const { cookie } = await house.pair(viewer);
    expect((await get(path, asPage(cookie))).statusCode).toBe(200);
    const other = await house.pair({ tubs: ['lower'] });
    expect((await get(path, asPage(other.cookie))).statusCode).toBe(403);
    expect((await get(path, {})).statusCode).toBe(401);
  });

  test('gets a page that takes nothing but its own style, and stays in no cache', async () => {
    put(wholeMarch, house);
    const { headers, body } = await get();
    expect(headers['content-type']).toBe('text/html; charset=utf-8');
    expect(headers['cache-control']).toBe('no-store');
    expect(headers['content-security-policy']).toBe(
      "default-src 'none'; style-src 'self'; font-src 'self'; base-uri 'none'; " +
        "form-action 'none'; frame-ancestors 'none'",
    );
    expect(body).not.toMatch(/<script|<style|\sstyle=|\son\w+=/i);
  });

  test('is refused what is no unit, no clock, no language and no month', async () => {
    put(wholeMarch, house);
    const wrong = ['temperature=K', 'hours=13', 'language=e', 'language=en-%00', 'language='];
    for (const query of [...wrong, `language=${'en-'.repeat(40)}x`]) {
      expect((await get(`${path}?${query}`)).statusCode, query).toBe(400);
    }
    expect((await get('/api/tubs/kowhai/months/2026-13/sheet')).statusCode).toBe(400);
    expect((await get('/api/tubs/nobody/months/2026-03/sheet')).statusCode).toBe(404);
    house.watching.months = async () => [];
    expect((await get()).statusCode).toBe(404);
  });
});

test('names, remarks and reasons are text, whatever they hold', async () => {
  const evil = `</title><script>alert(1)</script>" onload='x' & \u202e\u0000`;
  house.watching.versions = [{ setup: { tubs: [{ ...kowhai, name: evil }] }, from: 0 }];
  const log = [{ kind: 'remark' as const, from: '2026-03-07T06:00:00Z', note: evil }];
  const spans = gaps(1).map((span) => ({ ...span, why: evil }));
  put({ ...wholeMarch, log, month: { ...march, notCounted: spans } }, house);
  const { body } = await get();
  expect(body).not.toMatch(/<script|onload='/);
  // biome-ignore lint/suspicious/noControlCharactersInRegex: it is what must not be there
  expect(body).not.toMatch(/[\u0000\u202e]/);
  expect(
    body.match(/&lt;script&gt;alert\(1\)&lt;\/script&gt;&quot; onload=&#39;x&#39; &amp;/g),
  ).toHaveLength(4);
});

test('pieces of a page are put together as they are, anything else as text', () => {
  const inner = html`<b>${'<'}</b>`;
  expect(html`<p title="${'"'}">${inner}${[inner, inner]}${null}${0}</p>`.text).toBe(
    '<p title="&quot;"><b>&lt;</b><b>&lt;</b><b>&lt;</b>0</p>',
  );
});

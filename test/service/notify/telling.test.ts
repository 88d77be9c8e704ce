import { Writable } from 'node:stream';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type {
  Channel,
  Outcome,
  Outgoing,
  Recipient,
} from '../../../collector-service/notify/channel.ts';
import { Telling } from '../../../collector-service/notify/telling.ts';
import { makeLog } from '../../../collector-service/serve/log.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { ChannelName, Store } from '../../../collector-service/store/store.ts';
import type { AlertRecord } from '../../../model/alerts/alert-life.ts';
import { type NoticeKind, usualWishes } from '../../../model/alerts/telling.ts';
import type { FaultId } from '../../../model/rules/fault-id.ts';
import { rules } from '../../../model/rules/rules.ts';
import type { Setup } from '../../../model/setup.ts';
import { en } from '../../../model/words/en.ts';
import { enFaults } from '../../../model/words/en-faults.ts';
import { plainSpeaker } from '../../../model/words/speaker.ts';
import { temporaryFolder } from '../../store/folders.ts';
import { kowhai } from '../serve/samples.ts';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;
/** Midday of 1 March 2026 at the tub. */
const NOON = Date.parse('2026-03-01T12:00:00+13:00');
const person: Recipient = { target: 'p1', wishes: usualWishes, covers: () => true };
const program: Recipient = { target: 'house', wishes: null, covers: () => true };

/** A channel that remembers what it sent, and fares as it is told. */
class FakeChannel implements Channel {
  readonly name: ChannelName;
  people: Recipient[];
  sent: Outgoing[] = [];
  fares: (outgoing: Outgoing) => Outcome | Promise<Outcome> = () => ({ sent: true, trouble: null });

  constructor(name: ChannelName, people: Recipient[]) {
    this.name = name;
    this.people = people;
  }

  async recipients() {
    return this.people;
  }

  async send(_target: string, outgoing: Outgoing) {
    this.sent.push(outgoing);
    return this.fares(outgoing);
  }

  get events() {
    return this.sent.map(({ message: { event } }) => event);
  }

  get texts() {
    return this.sent.map(({ message: { title, text } }) => `${title}: ${text}`);
  }
}

let folder: string;
let remove: () => void;
let store: Store;
let push: FakeChannel;
let hook: FakeChannel;
let telling: Telling;
let t: number;
let setup: Setup;
let upToDate: boolean;
let logged: string;
const clock = { now: () => t };

function newTelling() {
  const lines = new Writable({
    write(chunk, _encoding, done) {
      logged += chunk;
      done();
    },
  });
  return new Telling({
    ...{ store, clock, channels: [push, hook], log: makeLog('debug', lines) },
    setup: () => setup,
    isUpToDate: () => upToDate,
  });
}

beforeEach(async () => {
  ({ folder, remove } = temporaryFolder());
  store = openStore(folder);
  push = new FakeChannel('push', [person]);
  hook = new FakeChannel('webhook', [program]);
  [t, setup, upToDate, logged] = [NOON, { tubs: [kowhai] }, true, ''];
  for (const tub of ['kowhai', 'rimu']) {
    const readings = [{ tub, point: 'tub/temperature', t, value: 38 }];
    await store.keep({ readings, unreadable: [], at: t });
  }
  telling = newTelling();
});
afterEach(async () => {
  await telling.stop();
  await store.close();
  remove();
});

const pump: AlertRecord = {
  id: 'pump',
  fault: 'pump-not-running',
  point: null,
  severity: 'act',
  since: NOON - HOUR,
  raisedAt: NOON,
  until: null,
  unknownSince: null,
  costKwh: null,
  evidence: { differenceK: 17 },
};
const hot: AlertRecord = { ...pump, id: 'hot', fault: 'water-too-hot', severity: 'danger' };
const look = (id: string, more: Partial<AlertRecord> = {}): AlertRecord => ({
  ...{ ...pump, id, fault: 'flow-falling', severity: 'look', point: `pump/${id}`, ...more },
});
/** What is said of an alert, by the words for its fault. */
const saidOf = ({ fault, point, evidence }: AlertRecord) =>
  enFaults[fault].says(
    { evidence, point: point && en.points.name(point) },
    plainSpeaker(kowhai.place.timeZone),
  );
const put = (...alerts: AlertRecord[]) =>
  store.putRounds('kowhai', { alerts, setupId: 1, days: [], to: t, dropBefore: null });

/** Looks once, and waits until what was sent has arrived. */
async function pass(at = t) {
  t = at;
  await telling.pass();
  await telling.settled();
}

/** As a restart does: what is in memory is lost. */
async function restart() {
  await telling.stop();
  await store.close();
  store = openStore(folder);
  telling = newTelling();
}

test('an alert is told once, in one line that says what to do', async () => {
  await put(pump);
  for (let i = 0; i < 5; i++) await pass(t + 10_000);
  expect(push.events).toEqual(['raised']);
  expect(push.texts).toEqual([`Kōwhai Terrace: ${saidOf(pump)} ${enFaults[pump.fault].first}`]);
  expect(hook.events).toEqual(['raised']);
  expect(hook.sent[0]!.message.alerts).toMatchObject([{ id: 'pump', tub: 'kowhai', until: null }]);
});

test('a danger says so first', async () => {
  await put(hot);
  await pass();
  expect(push.texts[0]).toMatch(/^Danger, Kōwhai Terrace: /);
});

test('its end is told with what it cost', async () => {
  await put(pump);
  await pass();
  await put({ ...pump, until: t + HOUR, costKwh: 4.04 });
  await pass(t + HOUR);
  expect(push.events).toEqual(['raised', 'over']);
  expect(push.texts[1]).toMatch(/; 4\.0 kWh of sun were lost\.$/);
  expect(hook.events).toEqual(['raised', 'over']);
});

test('what came while nothing could be sent waits, and a restart sends none of it twice', async () => {
  push.fares = () => ({ sent: false, trouble: 'The push service could not be reached.' });
  await put(pump);
  await pass();
  await restart();
  await pass(t + 59_000);
  expect(push.events).toEqual(['raised']);
  push.fares = () => ({ sent: true, trouble: null });
  await pass(t + MINUTE);
  await restart();
  await pass(t + HOUR);
  expect(push.events).toEqual(['raised', 'raised']);
  expect(new Set(push.sent.map(({ id }) => id)).size).toBe(1); // the same, known by its id
  expect(hook.events).toEqual(['raised']);
});

test('what was sent and could not be noted, since the disk is full, is not sent again', async () => {
  const write = store.noticeTried.bind(store);
  store.noticeTried = () => Promise.reject(new Error('the disk is full'));
  await put(pump);
  for (let i = 0; i < 5; i++) await pass(t + MINUTE);
  expect(push.events).toEqual(['raised']);
  store.noticeTried = write;
  await pass(t + MINUTE);
  await restart();
  await pass(t + MINUTE);
  expect([push.events, hook.events]).toEqual([['raised'], ['raised']]);
});

test('what was made and not sent before a kill is sent once after it', async () => {
  let arrive = (_: Outcome) => {};
  push.fares = () => new Promise((resolve) => (arrive = resolve));
  await put(pump);
  await telling.pass();
  const killed = telling; // it hangs, and never learns what came of it
  store = openStore(folder);
  telling = newTelling();
  push.fares = () => ({ sent: true, trouble: null });
  for (let i = 0; i < 3; i++) await pass(t + MINUTE);
  expect(push.events).toEqual(['raised', 'raised']);
  expect(new Set(push.sent.map(({ id }) => id)).size).toBe(1);
  arrive({ sent: true, trouble: null });
  await killed.stop();
});

test('pauses grow, and after a day it is given up', async () => {
  push.fares = () => ({ sent: false, trouble: 'It could not be reached.' });
  await put(pump);
  const tries: number[] = [];
  for (let minute = 0; minute <= 26 * 60; minute++) {
    const before = push.sent.length;
    await pass(NOON + minute * MINUTE);
    if (push.sent.length > before && push.events.at(-1) === 'raised') tries.push(minute);
  }
  const hourly = Array.from({ length: 23 }, (_, i) => 83 + i * 60).filter((m) => m < 24 * 60);
  expect(tries).toEqual([0, 1, 3, 8, 23, ...hourly]);
  const [state] = await telling.states();
  expect(state).toEqual({
    ...{ channel: 'push', recipients: 1, sentAt: null },
    ...{ waiting: 1, trouble: 'It could not be reached.' }, // the one of the next morning
  });
  expect(logged).toContain('It could not be reached.');
});

test('a danger is not left waiting for more than five minutes', async () => {
  push.fares = () => ({ sent: false, trouble: 'It could not be reached.' });
  await put(hot);
  const tries: number[] = [];
  for (let minute = 0; minute <= 60; minute++) {
    const before = push.sent.length;
    await pass(NOON + minute * MINUTE);
    if (push.sent.length > before) tries.push(minute);
  }
  expect(tries).toEqual([0, 1, 3, 8, 13, 18, 23, 28, 33, 38, 43, 48, 53, 58]);
  expect(new Set(push.sent.map(({ id }) => id)).size).toBe(1);
});

test('what is over before it reached somebody is told to them no more', async () => {
  push.fares = hook.fares = () => ({ sent: false, trouble: 'It could not be reached.' });
  await put(pump);
  await pass();
  await put({ ...pump, until: t + MINUTE });
  push.fares = hook.fares = () => ({ sent: true, trouble: null });
  await pass(t + 2 * MINUTE);
  expect(push.events).toEqual(['raised']);
  expect((await store.told('kowhai')).filter(({ channel }) => channel === 'push')).toEqual([]);
  expect(hook.events.sort()).toEqual(['over', 'raised', 'raised']); // a program misses nothing
});

test('who is slow keeps nobody else waiting', async () => {
  const arrivals: ((outcome: Outcome) => void)[] = [];
  push.fares = () => new Promise((resolve) => void arrivals.push(resolve));
  await put(pump);
  await telling.pass();
  await put(pump, hot);
  t += MINUTE;
  await telling.pass();
  await telling.pass();
  expect(hook.events).toEqual(['raised', 'raised']);
  expect(push.events).toEqual(['raised', 'raised']); // the first is not begun again
  for (const arrive of arrivals) arrive({ sent: true, trouble: null });
  await telling.settled();
  expect((await telling.states())[0]).toMatchObject({ waiting: 0, sentAt: t });
});

test('a channel that breaks is logged and breaks nothing', async () => {
  push.fares = () => {
    throw new Error('inner text');
  };
  await put(pump);
  await pass();
  expect(hook.events).toEqual(['raised']);
  expect(logged).toContain('inner text');
});

test('who is gone is tried no more', async () => {
  push.fares = () => ({ sent: false, trouble: 'The phone has ended its notices.', gone: true });
  await put(pump);
  await pass();
  push.people = [];
  for (let i = 0; i < 3; i++) await pass(t + HOUR);
  expect(push.sent).toHaveLength(1);
  expect((await telling.states())[0]).toMatchObject({ waiting: 0 });
});

test('what can wait comes as one notice in the morning, what is to be done today with it', async () => {
  const night = NOON + 11 * HOUR;
  await put(...['a', 'b', 'c', 'd'].map((id, i) => look(id, { raisedAt: NOON + i })), {
    ...pump,
    raisedAt: night,
  });
  await pass(night);
  expect(push.sent).toEqual([]);
  expect(hook.events).toEqual(Array.from({ length: 5 }, () => 'raised'));
  const morning = NOON + 19 * HOUR;
  for (let at = morning; at < morning + HOUR; at += MINUTE) await pass(at);
  expect(push.events).toEqual(['several']);
  const [{ message }] = push.sent as [Outgoing];
  expect(message.alerts.map(({ id }) => id)).toEqual(['pump', 'd', 'c', 'b', 'a']);
  expect(message.text).toBe(`${saidOf(pump)} ${saidOf(look('d'))} 3 more are in Alerts.`);
  await pass(morning + DAY);
  expect(push.events).toEqual(['several', 'again']); // the pump, and nothing of the rest
});

test('two notices a day, and what can do so waits for the next', async () => {
  const acts = [1, 2, 3].map((n) => ({ ...pump, id: `act-${n}`, point: `pump/${n}` }));
  for (const act of acts) {
    await put({ ...act, raisedAt: t });
    await pass(t + MINUTE);
  }
  expect(push.events).toEqual(['raised', 'raised', 'raised']);
  await put({ ...acts[0]!, until: t });
  await pass(t + MINUTE);
  expect(push.events).toHaveLength(3);
  await pass(NOON + 19 * HOUR);
  const kinds = (await store.told('kowhai'))
    .filter(({ channel }) => channel === 'push')
    .flatMap(({ about }) => about.map(({ kind }): NoticeKind => kind));
  expect(kinds.slice(3).sort()).toEqual(['again', 'again', 'over']);
  expect(push.events.at(-1)).toBe('several');
});

test('dangers come one by one', async () => {
  await put(hot, { ...hot, id: 'frost', fault: 'freeze-danger' }, pump);
  await pass();
  expect(push.events).toEqual(['raised', 'raised', 'raised']);
});

test('a fault that comes and goes is told a few times a day at the most, to a program each time', async () => {
  for (let n = 0; n < 10; n++) {
    const one = { ...pump, id: `pump-${n}`, since: t, raisedAt: t };
    await put(one);
    await pass();
    t += 20 * MINUTE;
    await put({ ...one, until: t });
    await pass();
    t += 40 * MINUTE;
  }
  expect(push.events.length).toBeLessThanOrEqual(3);
  expect(push.events[0]).toBe('raised');
  expect(hook.events.filter((event) => event === 'raised')).toHaveLength(10);
});

test('what another fault explains, what is no fault, and what is back ends without a word', async () => {
  const muted = rules.find(({ mutedBy }) => mutedBy.length > 0)!;
  const child: AlertRecord = { ...pump, id: 'child', fault: muted.fault };
  const [odd, back] = [
    { ...pump, id: 'odd', point: 'a' },
    { ...pump, id: 'first', point: 'b' },
  ];
  await put(child, odd, back);
  await pass();
  expect(push.events).toEqual(['several']);
  t += HOUR;
  const parent: AlertRecord = {
    ...pump,
    ...{ id: 'parent', fault: muted.mutedBy[0] as FaultId, severity: 'note', raisedAt: t },
  };
  await store.dismiss('kowhai', 'odd', t);
  await put(
    { ...child, until: t },
    parent,
    { ...back, until: t },
    { ...back, id: 'second', severity: 'note', raisedAt: t + 1 },
  );
  await pass(t + MINUTE);
  expect(push.events).toEqual(['several']);
  const over = hook.sent.filter(({ message }) => message.event === 'over');
  expect(over.map(({ message }) => message.alerts[0]!.id).sort()).toEqual([
    'child',
    'first',
    'odd',
  ]);
});

test('an alert that grows worse is told though somebody had seen the lesser', async () => {
  const act = { ...hot, severity: 'act' as const };
  await put(act);
  await pass();
  await store.acknowledge('kowhai', 'hot', t);
  await put(hot);
  await pass(t + MINUTE);
  await pass(t + 30 * MINUTE);
  await store.acknowledge('kowhai', 'hot', t);
  await pass(t + 2 * HOUR);
  expect(push.events).toEqual(['raised', 'worse', 'again']);
});

test('what is shelved is told to no person, and told when the shelf ends', async () => {
  await store.shelve('kowhai', { fault: 'pump-not-running', point: null, until: t + 2 * HOUR });
  await put(pump);
  await pass(t + HOUR);
  expect(push.events).toEqual([]);
  expect(hook.sent[0]!.message.alerts[0]!.shelvedUntil).toBe(
    new Date(NOON + 2 * HOUR).toISOString(),
  );
  await pass(t + HOUR);
  expect(push.events).toEqual(['raised']);
  expect(push.sent[0]!.message.alerts[0]!.shelvedUntil).toBeNull();
});

test('after a start nothing is told until the past has been gone through, or ten minutes passed', async () => {
  await put({ ...hot, raisedAt: NOON - DAY });
  upToDate = false;
  await pass(NOON + 10 * MINUTE - 1);
  expect([...push.events, ...hook.events]).toEqual([]);
  await pass(NOON + 10 * MINUTE);
  expect(push.events).toEqual(['raised']);
  await restart();
  await pass(t + 9 * MINUTE);
  expect(push.events).toEqual(['raised']);
  upToDate = true;
  await pass(t + 21 * MINUTE);
  upToDate = false; // it was once
  await pass(t + 30 * MINUTE);
  expect(push.events).toEqual(['raised', 'again', 'again']);
});

test('each hears of the tubs that they may see, and of none that is not set up', async () => {
  push.people = [{ ...person, covers: (tub) => tub === 'rimu' }];
  await put(pump);
  await store.putRounds('rimu', {
    ...{ alerts: [{ ...pump, id: 'there' }], setupId: 1, days: [], to: t, dropBefore: null },
  });
  await pass();
  expect(push.events).toEqual([]);
  expect(hook.events).toEqual(['raised']);
  setup = { tubs: [kowhai, { ...kowhai, id: 'rimu', name: 'Rimu' }] };
  await pass();
  expect(push.texts.map((text) => text.split(':')[0])).toEqual(['Rimu']);
  expect(hook.events).toEqual(['raised', 'raised']);
});

test('old notices go after 60 days', async () => {
  await put(pump);
  await pass();
  await put({ ...pump, until: t });
  await pass(t + MINUTE);
  expect(await store.told('kowhai')).toHaveLength(4);
  await pass(NOON + 60 * DAY);
  expect(await store.told('kowhai')).toHaveLength(4);
  await pass(NOON + 60 * DAY + 2 * HOUR);
  expect(await store.told('kowhai')).toEqual([]);
  expect(push.events).toEqual(['raised', 'over']);
});

test('a test notice is sent at once and kept nowhere', async () => {
  expect(await telling.test('push', 'p1')).toEqual({ sent: true, trouble: null });
  expect(await telling.test('push', 'p2')).toBeNull();
  expect(push.texts).toEqual(['Sunsteep: This is a test: notices reach you here.']);
  expect(await store.channelRecord('push')).toEqual({ sentAt: null, waiting: 0, trouble: null });
});

test('each phone is told in its own units', async () => {
  const manner = { locale: 'en-US', temperature: 'F', volume: 'gal', hours: 12 } as const;
  push.people = [person, { ...person, target: 'p2', manner }];
  await put({ ...hot, evidence: { tubC: 42 } });
  await telling.pass();
  await telling.settled();
  expect(push.texts.map((text) => /\d+\.\d °[CF]/.exec(text)?.[0])).toEqual([
    '42.0 °C',
    '107.6 °F',
  ]);
});

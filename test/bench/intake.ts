import { type Mosquitto, startMosquitto } from '../service/mosquitto.ts';
import { BareSqlite } from './bare-sqlite.ts';
import { BuiltService, type Login } from './built-service.ts';
import { publishLines } from './c-client.ts';
import { points, readings, type Step, setup, tub } from './month-of-readings.ts';
import { type Outgoing, Publisher, packets } from './publisher.ts';
import { digits, line, Rounds, spread, times, whole } from './rounds.ts';

const ROUNDS = 5;
const PUBLISHERS = 4;
const IN_FLIGHT = 100;
const BASELINE_MS = 1_500;
/** Mosquitto drops what a subscriber is slow to take, past these limits; and it logs each packet. */
const config = [
  'max_queued_messages 0',
  'max_inflight_messages 0',
  'log_type none',
  'log_type information',
];

/** A service with a broker before it, and what it is to hear next. */
interface Intake {
  name: string;
  service: BuiltService;
  /** Of the broker that boards publish to. */
  login: Login;
  next: Generator<Step, never>;
  sent: number;
}

/** What the publishers send in one go. */
interface Form {
  name: string;
  steps: number; // of twelve readings each
  readingsAMessage: number;
  messages(steps: readonly Step[]): Outgoing[][];
  publish: Publish;
}

/** Gets ready to send each publisher's messages; what it returns sends them, and is timed. */
type Publish = (login: Login, shares: Outgoing[][]) => Promise<() => Promise<unknown>>;

const forms: readonly Form[] = [
  {
    name: 'a reading a message',
    steps: 2_500,
    readingsAMessage: 1,
    messages: singles,
    publish: byOurs,
  },
  {
    name: '12 readings a message',
    steps: 5_000,
    readingsAMessage: points.length,
    messages: packs,
    publish: byOurs,
  },
  {
    name: 'a reading a message, C client',
    steps: 2_500,
    readingsAMessage: 1,
    messages: namedSingles,
    publish: byC,
  },
];

/**
 * Readings a second from QoS 1 publishers to the disk, through the whole service.
 *
 * The clock runs from the first message until the last one is acknowledged to its publisher and on
 * disk. Mosquitto acknowledges on its own: there what is waited for is the disk.
 */
export async function intake(): Promise<void> {
  const mosquitto = await startMosquitto({ config });
  const ends: (() => unknown)[] = [() => mosquitto.remove()];
  try {
    const embedded = await opened('embedded');
    ends.push(() => embedded.service.stop());
    const outside = await opened('Mosquitto', mosquitto);
    ends.push(() => outside.service.stop());
    print(await measured([embedded, outside]), [embedded, outside]);
  } finally {
    for (const end of ends.reverse()) await end();
  }
}

async function opened(name: string, mosquitto?: Mosquitto): Promise<Intake> {
  const service = await BuiltService.start({ mqttUrl: mosquitto?.url });
  await service.setUp(setup);
  return { name, service, login: await service.login(), next: readings(), sent: 0 };
}

const PER_ROW = 'bare SQLite, a transaction a row';
const BATCHES = 'bare SQLite, 500 rows a transaction';
const nameOf = (to: Intake, form: Form): string => `${to.name}, ${form.name}`;
const behindOf = (to: Intake, form: Form): string => `${nameOf(to, form)}: behind`;

async function measured(intakes: readonly Intake[]): Promise<Rounds> {
  const rounds = new Rounds();
  const bare = new BareSqlite();
  // The first round is not counted: a program that has just started is slow.
  for (let round = 0; round <= ROUNDS; round++) {
    const add = (name: string, value: number) => round > 0 && rounds.add(name, value);
    add(PER_ROW, bare.rate(1, BASELINE_MS));
    add(BATCHES, bare.rate(500, BASELINE_MS));
    for (const to of intakes) {
      for (const form of forms) {
        const { rate, behindS } = await burst(to, form);
        add(nameOf(to, form), rate);
        add(behindOf(to, form), behindS);
      }
    }
  }
  bare.end();
  return rounds;
}

/** Readings a second until all are on disk, and how long the ledger takes from there on [s]. */
async function burst(to: Intake, form: Form): Promise<{ rate: number; behindS: number }> {
  const steps = Array.from({ length: form.steps }, () => to.next.next().value);
  to.sent += steps.length * points.length;
  const send = await form.publish(to.login, form.messages(steps));
  const start = performance.now();
  await send();
  await to.service.kept(to.sent);
  const onDisk = performance.now();
  await to.service.workedOut();
  return {
    rate: (steps.length * points.length * 1000) / (onDisk - start),
    behindS: (performance.now() - onDisk) / 1000,
  };
}

function print(rounds: Rounds, intakes: readonly Intake[]): void {
  for (const name of [PER_ROW, BATCHES]) line(name, `${spread(rounds.of(name), whole)} rows/s`);
  for (const to of intakes) {
    for (const form of forms) {
      const name = nameOf(to, form);
      line(name, `${spread(rounds.of(name), whole)} readings/s`);
      line('', aimOf(to, form, rounds));
      line('', `ledger worked out ${spread(rounds.of(behindOf(to, form)), digits)} s later`);
    }
  }
}

function aimOf(to: Intake, form: Form, rounds: Rounds): string {
  const name = nameOf(to, form);
  if (form.readingsAMessage > 1) {
    return `${spread(rounds.ratio(name, BATCHES), times)} the batches; aim at least 0.25 ×`;
  }
  const aim = to.name === 'embedded' ? 10 : 8;
  return `${spread(rounds.ratio(name, PER_ROW), times)} a transaction a row; aim at least ${aim} ×`;
}

async function byOurs(login: Login, shares: Outgoing[][]) {
  const ready = shares.map(packets);
  const publishers = await Promise.all(
    ready.map((_, i) => Publisher.connected(login, `publisher-${i}`)),
  );
  return async () => {
    await Promise.all(ready.map((share, i) => publishers[i]!.publish(share, IN_FLIGHT)));
    for (const publisher of publishers) publisher.end();
  };
}

async function byC(login: Login, shares: Outgoing[][]) {
  const lines = shares.map((share) => share.map(({ payload }) => payload));
  return () =>
    Promise.all(lines.map((share) => publishLines(login, `sunsteep/${tub}`, share, IN_FLIGHT)));
}

const shared = <T>(all: readonly T[]): T[][] =>
  Array.from({ length: PUBLISHERS }, (_, k) => all.filter((_each, i) => i % PUBLISHERS === k));

/** Each publisher is a board with three of the twelve sensors. */
function singles(steps: readonly Step[]): Outgoing[][] {
  return shared(points.map((_, i) => i)).map((places) =>
    steps.flatMap(({ t, values }) =>
      places.map((i) => ({
        topic: `sunsteep/${tub}/${points[i]}`,
        payload: `[{"t":${t / 1000},"v":${values[i]}}]`,
      })),
    ),
  );
}

/** The same by name, since the C client has one topic for all its lines. */
function namedSingles(steps: readonly Step[]): Outgoing[][] {
  return shared(points.map((_, i) => i)).map((places) =>
    steps.flatMap(({ t, values }) =>
      places.map((i) => ({
        topic: `sunsteep/${tub}`,
        payload: `[{"n":"${points[i]}","t":${t / 1000},"v":${values[i]}}]`,
      })),
    ),
  );
}

/** Each publisher sends every fourth step, all twelve readings in one SenML pack. */
function packs(steps: readonly Step[]): Outgoing[][] {
  return shared(steps).map((share) =>
    share.map(({ t, values }) => ({
      topic: `sunsteep/${tub}`,
      payload: `[{"bt":${t / 1000}},${values.map((v, i) => `{"n":"${points[i]}","v":${v}}`).join(',')}]`,
    })),
  );
}

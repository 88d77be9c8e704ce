import { setImmediate as turn } from 'node:timers/promises';
import { connectAsync, type MqttClient } from 'mqtt';
import { expect } from 'vitest';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import { Aftermath, workOut } from '../../store/aftermath.ts';
import type { Chance } from '../../store/crash-image.ts';
import { expectSound, inside, rowsOf } from '../../store/inside.ts';
import { setupOf, TUB } from '../../store/life.ts';
import { freePort, startMosquitto } from '../mosquitto.ts';
import { type House, openBoard, openHouse, setUp } from './house.ts';
import { type Env, newFolder, startProgram, until } from './program.ts';

/** Two o'clock in the afternoon at the place. */
const FROM = Date.parse('2024-03-02T01:00:00Z');
const AT_ONCE = 20;
const MOST_BETWEEN = 80;
/** So many starts are killed before they hear. */
const KILLED_STARTING = 0.2;

export interface Killed {
  acknowledged: number;
  kept: number;
}

/** A board that goes on and on; each of its readings has a time of its own. */
class Pouring {
  /** Value by point and time, as acknowledged by the broker. */
  readonly acknowledged = new Map<string, number>();
  readonly sent = new Map<string, number>();
  /** What is on its way and was not answered yet. */
  waiting = 0;
  private next = 0;

  /** Publishes on a connection until that breaks or the returned function is called. */
  on(board: MqttClient, gapMs: number): () => void {
    let stopped = false;
    const one = (): void => {
      const { point, t, value } = readingOf(this.next++);
      const key = `${TUB} ${point} ${t}`;
      this.sent.set(key, value);
      const payload = JSON.stringify([{ t: t / 1000, v: value }]);
      this.waiting++;
      board.publish(`sunsteep/${TUB}/${point}`, payload, { qos: 1 }, (error) => {
        this.waiting--;
        if (error) return;
        this.acknowledged.set(key, value);
        if (!stopped) setTimeout(one, gapMs);
      });
    };
    for (let i = 0; i < AT_ONCE; i++) one();
    return () => {
      stopped = true;
    };
  }
}

function readingOf(n: number): { point: string; t: number; value: number } {
  const [t, second] = [FROM + n * 1000, n % 600];
  const on = second < 400 ? 1 : 0;
  const values: [string, number][] = [
    ['tub/temperature', 34 + (n % 50) / 100],
    ['collector/inlet', 34 + (n % 40) / 100],
    ['collector/outlet', 39 + (n % 60) / 100],
    ['pump/flow', 4 * on],
    ['pump/running', on],
  ];
  const [point, value] = values[n % values.length]!;
  return { point, t, value };
}

/**
 * Kills the service again and again while a board pours readings into its own broker, or into a real
 * Mosquitto that it listens to, some of it while it starts. All that was acknowledged is there in the end,
 * as it was sent, once, and worked out as a new store does.
 */
export async function killAgain(
  broker: 'its own broker' | 'Mosquitto',
  kills: number,
  chance: Chance,
): Promise<Killed> {
  const folder = newFolder();
  const poured = new Pouring();
  const mosquitto =
    broker === 'Mosquitto' ? await startMosquitto({ config: ['max_queued_messages 0'] }) : null;
  const ports = mosquitto ? {} : { port: await freePort(), brokerPort: await freePort() };
  const env: Env = mosquitto ? { SUNSTEEP_MQTT_URL: mosquitto.url } : {};
  const open = async (): Promise<House> => {
    const house = await openHouse({ folder, ...ports, env });
    await until('the link to the broker', async () => {
      const { body } = await house.call('GET', '/health', undefined, {});
      return body.broker.status === 'ok';
    });
    return house;
  };
  let board: MqttClient | null = null;
  let stop = () => {};
  try {
    let house = await open();
    await setUp(house, ...setupOf(1200).tubs);
    if (mosquitto) {
      board = await connectAsync(mosquitto.url);
      stop = poured.on(board, 60);
    }
    for (let kill = 0; kill < kills; kill++) {
      if (!mosquitto) {
        board = await openBoard(house);
        board.on('error', () => {});
        stop = poured.on(board, 0);
      }
      const enough = poured.acknowledged.size + 1 + Math.floor(chance() * MOST_BETWEEN);
      await until('acknowledgements', () => poured.acknowledged.size >= enough);
      for (let turns = Math.floor(chance() * 400); turns > 0; turns--) await turn();
      await house.kill();
      if (!mosquitto) board!.end(true);
      if (chance() < KILLED_STARTING && kill + 1 < kills) {
        await killStarting(folder, env, chance);
        kill++;
      }
      house = await open();
    }
    stop();
    if (mosquitto) await until('the last answers', () => poured.waiting === 0);
    await until('all that the broker took', async () => {
      const there = keptIn(folder);
      return [...poured.acknowledged.keys()].every((key) => there.has(key));
    });
    expect(await house.unreadable()).toEqual([]);
    await house.stop();
    return { acknowledged: poured.acknowledged.size, kept: await judge(folder, poured) };
  } finally {
    board?.end(true);
    await mosquitto?.remove();
  }
}

/** Kills one that may just be opening its store or linking to its broker. */
async function killStarting(folder: string, env: Env, chance: Chance) {
  const free = { SUNSTEEP_HOST: '127.0.0.1', SUNSTEEP_PORT: '0', SUNSTEEP_BROKER_PORT: '0' };
  const starting = startProgram(['serve'], { SUNSTEEP_DATA: folder, ...free, ...env });
  await new Promise((resolve) => setTimeout(resolve, chance() * 900));
  starting.process.kill('SIGKILL');
  await starting.ended;
}

const keptIn = (folder: string) => inside(folder, rowsOf);

async function judge(folder: string, { acknowledged, sent }: Pouring): Promise<number> {
  inside(folder, expectSound);
  const kept = keptIn(folder);
  expect([...acknowledged].filter(([key, value]) => kept.get(key) !== value)).toEqual([]);
  expect([...kept].filter(([key, value]) => sent.get(key) !== value)).toEqual([]);
  const store = openStore(folder);
  await workOut(store);
  expect(await store.dirty()).toEqual([]);
  await new Aftermath().judgeLedger(store);
  expect((await store.ledger(TUB, 0, Number.MAX_SAFE_INTEGER)).length).toBeGreaterThan(0);
  await store.close();
  return kept.size;
}

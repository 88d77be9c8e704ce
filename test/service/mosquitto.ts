import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { connect, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** A real Mosquitto on a free port of this machine, and its own command-line clients. */

export interface MosquittoOptions {
  /** Users and their passwords; without any nobody needs one. */
  passwords?: Record<string, string>;
  /** More lines of its configuration. */
  config?: string[];
}

export interface Mosquitto {
  port: number;
  url: string;
  /** Ends it by its process id; `start` brings it back on the same port with what it kept. */
  stop(): Promise<void>;
  start(): Promise<void>;
  /** Ends it and takes its files away. */
  remove(): Promise<void>;
}

export async function startMosquitto(options: MosquittoOptions = {}): Promise<Mosquitto> {
  requireMosquitto();
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-mosquitto-'));
  const port = await freePort();
  const config = join(folder, 'mosquitto.conf');
  writeFileSync(config, configuration(folder, port, options));
  let running: ChildProcess | null = null;
  const broker: Mosquitto = {
    port,
    url: `mqtt://127.0.0.1:${port}`,
    async start() {
      running = await spawned(config);
      await answers(port);
    },
    async stop() {
      const process = running;
      running = null;
      if (process === null || process.exitCode !== null) return;
      const ended = new Promise((resolve) => process.once('exit', resolve));
      process.kill('SIGTERM');
      await ended;
    },
    async remove() {
      await broker.stop();
      rmSync(folder, { recursive: true });
    },
  };
  await broker.start();
  return broker;
}

/** Publishes with mosquitto_pub, and resolves with its exit code; `-s` takes `input` for the payload. */
export async function publish(port: number, args: readonly string[], input = ''): Promise<Ended> {
  const process = client('mosquitto_pub', port, args);
  process.stdin!.on('error', () => {}); // one that does not read it may have ended before
  process.stdin!.end(input);
  return ended(process);
}

export interface Ended {
  code: number | null;
  output: string;
}

/** Everything that mosquitto_sub prints until it ends; `-C` and `-W` bound it. */
export async function subscribe(port: number, args: readonly string[]): Promise<Ended> {
  return ended(client('mosquitto_sub', port, args));
}

/** mosquitto_sub as it prints: `line` resolves with the first that fits. */
export function listener(port: number, args: readonly string[]) {
  const process = client('mosquitto_sub', port, args);
  const waiting = new Set<() => void>();
  const lines: string[] = [];
  let rest = '';
  process.stdout!.on('data', (data: Buffer) => {
    const parts = (rest + data.toString()).split('\n');
    rest = parts.pop()!;
    lines.push(...parts);
    for (const look of waiting) look();
  });
  return {
    lines,
    line: (fits: (line: string) => boolean) =>
      new Promise<string>((resolve) => {
        const look = () => {
          const found = lines.find(fits);
          if (found === undefined) return;
          waiting.delete(look);
          resolve(found);
        };
        waiting.add(look);
        look();
      }),
    stop: async () => {
      const end = ended(process);
      process.kill('SIGTERM');
      await end;
    },
  };
}

function requireMosquitto(): void {
  const places = [
    '/usr/sbin/mosquitto',
    '/usr/local/sbin/mosquitto',
    '/opt/homebrew/sbin/mosquitto',
  ];
  const found = places.find((place) => existsSync(place));
  if (found === undefined || spawnSync('mosquitto_pub', ['--help']).error !== undefined) {
    throw new Error(
      'These tests need a real broker: apt-get install mosquitto mosquitto-clients (its service need not run).',
    );
  }
  binary = found;
}

let binary = '';

function configuration(folder: string, port: number, options: MosquittoOptions): string {
  const { passwords = {}, config = [] } = options;
  const users = Object.entries(passwords);
  const file = join(folder, 'passwords');
  if (users.length > 0) writeFileSync(file, '', { mode: 0o600 });
  for (const [user, password] of users) {
    spawnSync('mosquitto_passwd', ['-b', file, user, password]);
  }
  return [
    ...(process.getuid?.() === 0 ? ['user root'] : []),
    `listener ${port} 127.0.0.1`,
    ...(users.length > 0 ? [`password_file ${file}`] : []),
    `allow_anonymous ${users.length === 0}`,
    'persistence true',
    `persistence_location ${folder}/`,
    'log_dest stderr',
    'log_type all',
    ...config,
    '',
  ].join('\n');
}

/** Resolves when Mosquitto says that it runs. */
function spawned(config: string): Promise<ChildProcess> {
  const child = spawn(binary, ['-c', config], { stdio: ['ignore', 'ignore', 'pipe'] });
  return new Promise((resolve, reject) => {
    let said = '';
    child.stderr.on('data', (data: Buffer) => {
      said = (said + data.toString()).slice(-4_000);
      if (/mosquitto version .* running/.test(said)) resolve(child);
    });
    child.once('exit', (code) => reject(new Error(`mosquitto ended with ${code}: ${said}`)));
  });
}

/**
 * Resolves when it has answered a CONNECT, whatever it answered: a SIGTERM that comes before
 * Mosquitto's main loop has begun is lost.
 */
async function answers(port: number): Promise<void> {
  const socket = connect(port, '127.0.0.1');
  await new Promise((answered, failed) => {
    socket.once('data', answered);
    socket.once('error', failed);
    // CONNECT of MQTT 3.1.1: clean session, keep alive 60 s, no client id
    socket.write(Buffer.from([0x10, 12, 0, 4, 0x4d, 0x51, 0x54, 0x54, 4, 2, 0, 60, 0, 0]));
  });
  socket.destroy();
}

function client(name: string, port: number, args: readonly string[]): ChildProcess {
  return spawn(name, ['-h', '127.0.0.1', '-p', String(port), ...args], {
    stdio: ['pipe', 'pipe', 'pipe'],
  });
}

function ended(process: ChildProcess): Promise<Ended> {
  let output = '';
  const note = (data: Buffer) => {
    output += data.toString();
  };
  process.stdout!.on('data', note);
  process.stderr!.on('data', note);
  return new Promise((resolve, reject) => {
    process.once('error', reject);
    process.once('close', (code) => resolve({ code, output }));
  });
}

/** A port that nothing listens on now. */
export async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  const { port } = server.address() as { port: number };
  await new Promise((closed) => server.close(closed));
  return port;
}

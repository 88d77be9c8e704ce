import { spawn } from 'node:child_process';
import { once } from 'node:events';
import type { Login } from './built-service.ts';

/**
 * Publishes lines with Mosquitto's own client, one QoS 1 message each, all to one topic. Resolves once
 * it has ended, which it does when the last message is acknowledged.
 */
export async function publishLines(
  { port, username, password }: Login,
  topic: string,
  lines: readonly string[],
  inFlight = 20,
): Promise<void> {
  const login = password === undefined ? [] : ['-u', username!, '-P', password];
  const args = ['-h', '127.0.0.1', '-p', String(port), '-q', '1', '-t', topic, '-l'];
  const client = spawn('mosquitto_pub', [...args, '-M', String(inFlight), ...login], {
    stdio: ['pipe', 'inherit', 'inherit'],
  });
  const ended = once(client, 'exit');
  client.stdin.end(`${lines.join('\n')}\n`);
  const [code] = await ended;
  if (code !== 0) throw new Error(`mosquitto_pub ended with ${code}`);
}

import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'yaml';
import { root } from '../service/live/program.ts';

/** What docker-compose.yml says of a container. */
export interface Container {
  image?: string;
  build?: string;
  user?: string;
  entrypoint?: string[];
  environment: Record<string, string>;
  volumes: string[];
  tmpfs: string[];
  ports: string[];
  healthcheck?: { test: string[] };
  read_only: boolean;
  cap_drop: string[];
  security_opt: string[];
}

export const compose = parse(readFileSync(join(root, 'docker-compose.yml'), 'utf8')) as {
  services: Record<'broker' | 'sunsteep', Container>;
  volumes: Record<string, null>;
};

/** The client of Compose that is installed here, as the beginning of a call; null where there is none. */
export function composeClient(): string[] | null {
  const clients = [['docker', 'compose'], ['docker-compose']];
  return (
    clients.find(([program, ...args]) => spawnSync(program!, [...args, 'version']).status === 0) ??
    null
  );
}

import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { expect, test } from 'vitest';
import { simulate } from './simulation.ts';

const run = promisify(execFile);

test('the command writes what a simulation of the same seed gives', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'simulator-'));
  try {
    const command = ['--import', 'tsx', 'test/simulator/write-csv.ts'];
    const fault = 'pump-dead:0.25:1';
    const options = ['--seed', '9', '--kit', 'B', '--days', '2', '--from', '2026-10-03'];
    await run(process.execPath, [...command, ...options, '--fault', fault, folder]);
    const file = (name: string) => readFile(join(folder, name), 'utf8');
    const { readings, setup, truth } = simulate({
      seed: 9,
      kit: 'B',
      from: '2026-10-03',
      days: 2,
      faults: [{ fault: 'pump-dead', fromDay: 0.25, toDay: 1 }],
    });
    const [header, ...rows] = (await file('READINGS.csv')).trimEnd().split('\n');
    expect(header).toBe('time,tub,point,value');
    expect(rows.length).toBe(readings.length);
    const told = rows.map((row) => {
      const [time, tub, point, value] = row.split(',');
      return { t: Date.parse(time!), tub, point, value: Number(value) };
    });
    expect(told).toEqual(readings.map(({ t, tub, point, value }) => ({ t, tub, point, value })));
    expect(JSON.parse(await file('SETUP.json'))).toEqual({ tubs: [setup] });
    expect(JSON.parse(await file('TRUTH.json'))).toMatchObject({ ...truth });
  } finally {
    await rm(folder, { recursive: true });
  }
});

// Checks the program against measured data sets that nobody here made, and that do not ship with it.
// What could not be checked counts as missed.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { endAll } from '../service/live/program.ts';
import { dirtyStreams } from './dirty-streams.ts';
import { type Figure, printed } from './figures.ts';
import { heatMeterDk } from './heat-meter-dk.ts';
import { pvtCollectorSaar } from './pvt-collector-saar.ts';
import { solarFieldPsa } from './solar-field-psa.ts';
import { sunPositionClearsky } from './sun-position-clearsky.ts';
import { weatherHourly } from './weather-hourly.ts';

const checks: Record<string, (folder: string) => Figure[] | Promise<Figure[]>> = {
  'dirty-streams': dirtyStreams,
  'heat-meter-dk': heatMeterDk,
  'pvt-collector-saar': pvtCollectorSaar,
  'solar-field-psa': solarFieldPsa,
  'sun-position-clearsky': sunPositionClearsky,
  'weather-hourly': weatherHourly,
};

async function main([folder, ...rest]: string[]): Promise<number> {
  if (folder === undefined || rest.length > 0 || !existsSync(folder)) {
    console.error(`usage: npm run check:datasets -- FOLDER
  FOLDER: the one that holds ${Object.keys(checks).join(', ')}`);
    return 2;
  }
  let missed = 0;
  for (const [name, check] of Object.entries(checks)) {
    console.info(`\n${name}`);
    try {
      missed += printed(await check(join(folder, name)));
    } catch (error) {
      console.info(`could not be checked: ${error instanceof Error ? error.message : error}`);
      missed++;
    }
  }
  console.info(missed === 0 ? '\nall reached' : `\n${missed} missed`);
  return missed === 0 ? 0 : 1;
}

process.exitCode = await main(process.argv.slice(2)).finally(endAll);

// Takes the picture of Today that the README shows: a phone's, of the demonstration at noon at
// Kōwhai Terrace. After a change of the page: npm run build && node --import tsx test/docs/picture.ts
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { makeLog } from '../../collector-service/serve/log.ts';
import { makeLink } from '../../collector-service/serve/pairing.ts';
import { readSettings } from '../../collector-service/settings.ts';
import { dayBounds, localDate } from '../../model/civil-time.ts';
import { HOUR } from '../../model/readings.ts';
import { arrived, newPhone, startBrowser } from '../browser/phone.ts';

const ZONE = 'Pacific/Auckland';
/** Hours after midnight at which it is taken: the sun is up, and the tub not full yet. */
const NOON = 12.4;

// The built service brings the built page with it.
const { startService } =
  await built<typeof import('../../collector-service/service.ts')>('service');
const { runDemo } = await built<typeof import('../../collector-service/demo/run.ts')>('demo/run');

const file = join(import.meta.dirname, '../../docs/today.png');
const folder = mkdtempSync(join(tmpdir(), 'sunsteep-picture-'));
const settings = readSettings({
  SUNSTEEP_DATA: folder,
  SUNSTEEP_HOST: '127.0.0.1',
  SUNSTEEP_PORT: '0',
  SUNSTEEP_BROKER_HOST: '127.0.0.1',
  SUNSTEEP_BROKER_PORT: '0',
});
const log = makeLog('warn');
const clock = clockAtNoon();
const service = await startService({ settings, clock, log, demo: true });
const endDemo = await runDemo(service, clock, log);
const browser = await startBrowser();
try {
  const url = `http://127.0.0.1:${service.port}`;
  const rights = { right: 'full', tubs: null, until: null } as const;
  const { link } = await makeLink(service.store, clock, url, rights);
  const { page } = await newPhone(browser);
  await page.clock.install({ time: clock.now() });
  await historyWorkedOut();
  await page.goto(link);
  await arrived(page);
  await page.locator('canvas[data-drawn]').waitFor();
  await page.getByText(/^Tonight at/).waitFor();
  await page.evaluate(() => document.fonts.ready);
  await page.screenshot({ path: file, animations: 'disabled' });
  console.info(`${file} taken as of ${new Date(clock.now()).toISOString()}`);
} finally {
  await browser.close();
  await endDemo();
  await service.stop();
  rmSync(folder, { recursive: true });
}

function built<T>(name: string): Promise<T> {
  return import(`../../dist/collector-service/${name}.js`);
}

/** Runs as the system's does, from this noon on, or tomorrow's where that is over. */
function clockAtNoon() {
  const { from } = dayBounds(localDate(Date.now(), ZONE), ZONE);
  const ahead = from + NOON * HOUR - Date.now();
  const shift = ahead > 0 ? ahead : ahead + 24 * HOUR;
  return { now: () => Date.now() + shift };
}

/** Today has the board's live readings and all of its history. */
async function historyWorkedOut(): Promise<void> {
  const told = () => service.watch.now('kowhai');
  for (let now = await told(); ; now = await told()) {
    if (now?.day && now.day.coverage > 0.99 && !now.figures.workingOut) return;
    await new Promise((resolve) => setTimeout(resolve, 250));
  }
}

import { render } from 'preact';
import { startAddress } from './address.ts';
import { startLive } from './live.ts';
import { Page } from './page.tsx';
import { startClock } from './present.ts';
import { words } from './speech.ts';
import { startEvening } from './today/evening.ts';
import { startDay } from './today/shown-day.ts';
import { startWorker } from './worker.ts';

document.documentElement.lang = words.language;
startClock();
startAddress();
startDay();
startEvening();
startLive();
startWorker();
render(<Page />, document.getElementById('page')!);

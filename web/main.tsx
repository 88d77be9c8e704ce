import { render } from 'preact';
import { startAddress } from './address.ts';
import { startLast } from './last.ts';
import { startLive } from './live.ts';
import { Page } from './page.tsx';
import { startClock } from './present.ts';
import { words } from './speech.ts';
import { startEvening } from './today/evening.ts';
import { startDay } from './today/shown-day.ts';
import { startWorker } from './worker.ts';

const A_MOMENT = 300; // ms

document.documentElement.lang = words.language;
startClock();
startAddress();
startDay();
startEvening();
const firstView = startLive();
startLast();
startWorker();
// What comes within a moment is the first to be painted, and nothing moves to make room for it.
await Promise.race([firstView, new Promise((over) => setTimeout(over, A_MOMENT))]);
render(<Page />, document.getElementById('page')!);

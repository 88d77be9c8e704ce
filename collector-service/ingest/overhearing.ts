import type { Clock } from '../clock.ts';
import { escapedText } from './escaped-text.ts';
import type { Hearing, Overheard } from './hearing.ts';
import { type NumberIn, numbersIn } from './numbers-in.ts';

/** Topics that are remembered; beyond them nothing new is. */
const MOST_TOPICS = 300;
/** Newest values of a number that tell its course. */
const MOST_VALUES = 60;
const LONGEST_TOPIC = 200; // characters, as wiring takes them
const MINUTE = 60_000; // ms

/** A topic that nothing is read from by itself, as it was overheard. */
export interface OverheardTopic {
  topic: string;
  /** The newest payload, its first 200 bytes as escaped text. */
  payload: string;
  /** When it came [ms]. */
  at: number;
  count: number;
  /** The broker had it from before; what it tells may be old. */
  earlier: boolean;
  numbers: OverheardNumber[];
}

export interface OverheardNumber extends Pick<NumberIn, 'pointer' | 'isSwitch'> {
  /** Newest values in order, the newest last. */
  values: number[];
}

/** Hears every topic for a while, to find what could be wired. Forgets it when that is done again. */
export class Overhearing {
  private readonly hearing: Pick<Hearing, 'listen'>;
  private readonly clock: Clock;
  private topics = new Map<string, OverheardTopic>();
  private until: number | null = null;
  private timer: NodeJS.Timeout | null = null;
  private unlisten: (() => void) | null = null;

  constructor(hearing: Pick<Hearing, 'listen'>, clock: Clock) {
    this.hearing = hearing;
    this.clock = clock;
  }

  /** Listens from now on for so long; who listens already goes on. */
  start(minutes: number): void {
    if (this.unlisten === null) this.topics = new Map();
    this.unlisten ??= this.hearing.listen((message) => this.hear(message));
    if (this.timer) clearTimeout(this.timer);
    this.until = this.clock.now() + minutes * MINUTE;
    this.timer = setTimeout(() => this.stop(), minutes * MINUTE);
    this.timer.unref();
  }

  stop(): void {
    this.unlisten?.();
    this.unlisten = null;
    this.until = null;
    if (this.timer) clearTimeout(this.timer);
    this.timer = null;
  }

  /** Until when it listens [ms], null where it does not; and what it heard, also after that. */
  told(): { until: number | null; topics: OverheardTopic[] } {
    return { until: this.until, topics: [...this.topics.values()] };
  }

  private hear({ topic, payload, earlier }: Overheard): void {
    if (topic.startsWith('$') || topic.startsWith('sunsteep/')) return;
    if (topic.length > LONGEST_TOPIC) return;
    const known = this.topics.get(topic);
    if (!known && this.topics.size >= MOST_TOPICS) return;
    this.topics.set(topic, {
      topic,
      payload: escapedText(payload),
      at: this.clock.now(),
      count: (known?.count ?? 0) + 1,
      earlier,
      numbers: numbersIn(payload).map(({ pointer, value, isSwitch }) => {
        const before = known?.numbers.find((number) => number.pointer === pointer)?.values ?? [];
        return { pointer, isSwitch, values: [...before, value].slice(-MOST_VALUES) };
      }),
    });
  }
}

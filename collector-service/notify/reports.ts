import type { Hearing } from '../ingest/hearing.ts';
import type { Watching } from '../watch/watching.ts';

/** Publishes, retained, what other programs may read of a tub: the day's gain and the open alerts. */
export class Reports {
  private readonly hearing: Hearing;
  private readonly last = new Map<string, string>();
  readonly stop: () => void;

  constructor(hearing: Hearing, watching: Watching) {
    this.hearing = hearing;
    this.stop = watching.onNews(({ tub, now }) => {
      if (now.day && now.day.gainKwh !== null) {
        this.report(`sunsteep/${tub}/report/gain-today`, now.day.gainKwh.toFixed(3));
      }
      this.report(`sunsteep/${tub}/report/alerts`, JSON.stringify(now.alerts));
    });
  }

  private report(topic: string, payload: string): void {
    if (this.last.get(topic) === payload) return;
    this.last.set(topic, payload);
    this.hearing.report(topic, payload);
  }
}

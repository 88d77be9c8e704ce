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
      const gainKwh = now.day?.gainKwh ?? null;
      // Retained is what was said last: a gain that is not known takes yesterday's away.
      this.report(`sunsteep/${tub}/report/gain-today`, gainKwh === null ? '' : gainKwh.toFixed(3));
      this.report(`sunsteep/${tub}/report/alerts`, JSON.stringify(now.alerts));
    });
  }

  /** Takes away what readers would still find of a tub that is no more. */
  forget(tub: string): void {
    for (const name of ['gain-today', 'alerts']) {
      const topic = `sunsteep/${tub}/report/${name}`;
      this.report(topic, '');
      this.last.delete(topic);
    }
  }

  private report(topic: string, payload: string): void {
    if (this.last.get(topic) === payload) return;
    this.last.set(topic, payload);
    this.hearing.report(topic, payload);
  }
}

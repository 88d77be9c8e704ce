import type { AlertRecord } from '../../model/alerts/alert-life.ts';
import { toldAlert } from '../../model/alerts/told-alert.ts';
import type { Alert } from '../../model/shapes.ts';
import { en } from '../../model/words/en.ts';
import { enFaults } from '../../model/words/en-faults.ts';
import { plainSpeaker } from '../../model/words/speaker.ts';
import type { Clock } from '../clock.ts';
import type { KeptAlert, Shelf, Store } from '../store/store.ts';

const words = { faults: enFaults, points: en.points };

/** Alerts as they are told, and what people do with them. */
export class AlertDesk {
  private readonly store: Store;
  private readonly clock: Clock;
  private readonly zoneOf: (tub: string) => string | null;
  private readonly changed: (tub: string, alert: Alert) => void;

  constructor(parts: {
    store: Store;
    clock: Clock;
    zoneOf: (tub: string) => string | null;
    /** Called with an alert that people did something with. */
    changed: (tub: string, alert: Alert) => void;
  }) {
    this.store = parts.store;
    this.clock = parts.clock;
    this.zoneOf = parts.zoneOf;
    this.changed = parts.changed;
  }

  /** Alerts of a tub, the newest raised first; `open`: those alone that stand. */
  async alerts(tub: string, open: boolean): Promise<Alert[]> {
    const shelves = await this.store.shelves(tub);
    const kept = await this.store.alerts(tub, open);
    const told = kept.filter((alert) => !open || alert.dismissedAt === null);
    return told.map((alert) => this.told(tub, alert, shelves));
  }

  /** An alert as it is told; null where there is none of that id. */
  async alert(tub: string, id: string): Promise<Alert | null> {
    const kept = await this.store.alert(tub, id);
    return kept && this.told(tub, kept, await this.store.shelves(tub));
  }

  async acknowledge(tub: string, id: string): Promise<Alert | null> {
    await this.store.acknowledge(tub, id, this.clock.now());
    return this.tellChanged(tub, id);
  }

  /** Keeps quiet about the fault and its point until then, also when it comes again. */
  async shelve(tub: string, id: string, until: number): Promise<Alert | null> {
    const kept = await this.store.alert(tub, id);
    if (!kept) return null;
    await this.store.shelve(tub, { fault: kept.fault, point: kept.point, until });
    return this.tellChanged(tub, id);
  }

  /** Ends an alert though its rule still sees what it saw: it is told again only once that was gone. */
  async dismiss(tub: string, id: string): Promise<Alert | null> {
    const at = this.clock.now();
    await this.store.dismiss(tub, id, at);
    await this.store.acknowledge(tub, id, at);
    return this.tellChanged(tub, id);
  }

  private async tellChanged(tub: string, id: string): Promise<Alert | null> {
    const alert = await this.alert(tub, id);
    if (alert) this.changed(tub, alert);
    return alert;
  }

  private told(tub: string, alert: KeptAlert, shelves: readonly Shelf[]): Alert {
    const { acknowledgedAt, dismissedAt } = alert;
    const say = plainSpeaker(this.zoneOf(tub));
    const shelvedUntil = this.shelvedUntil(alert, shelves);
    return toldAlert(tub, alert, { acknowledgedAt, dismissedAt, shelvedUntil }, words, say);
  }

  /** Until when nobody wants to hear of an alert; null where that is over, or was never said. */
  private shelvedUntil({ fault, point }: AlertRecord, shelves: readonly Shelf[]): number | null {
    const shelf = shelves.find((other) => other.fault === fault && other.point === point);
    return shelf && shelf.until > this.clock.now() ? shelf.until : null;
  }
}

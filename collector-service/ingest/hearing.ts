/** One message as a broker handed it over, before anything in it is trusted. */
export interface Message {
  topic: string;
  payload: Uint8Array;
  /** The broker had it before the service subscribed: it tells an earlier value. */
  earlier: boolean;
  /** The broker held it back while the service was away: it cannot be stamped on arrival. */
  waited: boolean;
}

/** A message that was overheard while somebody looks for what there is, whatever its topic. */
export type Overheard = Pick<Message, 'topic' | 'payload' | 'earlier'>;

/** A link to a broker, ours or an outside one: both are used through this alone. */
export interface Hearing {
  /**
   * Resolves once messages can arrive, or an outside broker could not be reached: then it is tried
   * again and again.
   */
  start(): Promise<void>;
  /** Publishes at QoS 1, retained; what cannot be sent now is dropped, the next report replaces it. */
  report(topic: string, payload: string): void;
  /** Subscribes to what the wiring needs, beside `sunsteep/#`. */
  rewire(topics: readonly string[]): void;
  /** Hands over every message on every topic, until the function that it returns is called. */
  listen(hear: (message: Overheard) => void): () => void;
  health(): HearingHealth;
  close(): Promise<void>;
}

export interface HearingHealth {
  /** One sentence where messages cannot arrive, else null. */
  trouble: string | null;
  /** Since when the link stands as it does [ms since 1970-01-01 UTC]. */
  since: number;
  /** Logins refused lately, newest first, at most 20; the embedded broker alone knows them. */
  refused: { address: string; user: string; at: number; why: string }[];
}

import type { Server } from 'node:http';
import type {
  FastifyBaseLogger,
  FastifyInstance,
  RawReplyDefaultExpression,
  RawRequestDefaultExpression,
} from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import type { Clock } from '../clock.ts';
import type { HearingHealth } from '../ingest/hearing.ts';
import type { IntakeHealth } from '../ingest/intake.ts';
import type { Overhearing } from '../ingest/overhearing.ts';
import type { Telling } from '../notify/telling.ts';
import type { Settings } from '../settings.ts';
import type { Store } from '../store/store.ts';
import type { Watching } from '../watch/watching.ts';
import type { Access, Needs } from './access.ts';

/** What the HTTP side is built from; it starts none of it and ends none of it. */
export interface Parts {
  store: Store;
  watching: Watching;
  clock: Clock;
  settings: Pick<Settings, 'url' | 'token' | 'tls' | 'outsideBroker' | 'logLevel'>;
  hearingHealth: () => HearingHealth;
  intakeHealth: () => IntakeHealth;
  overhearing: Pick<Overhearing, 'start' | 'told'>;
  /** Room on the disk of the store [MB]; null where it cannot be told. */
  freeDiskMb: () => Promise<number | null>;
  /** Forgets a tub in the store and wherever the service still holds something of it. */
  forgetTub: (tub: string) => Promise<void>;
  /** Where boards reach the embedded broker; null where an outside one is used. */
  embeddedBroker: () => BrokerAddress | null;
  telling: Pick<Telling, 'states' | 'test'>;
  /** The public key by which push services know this house, in base64url. */
  pushKey: string;
  /** Absolute path of the built web files. */
  webFolder: string;
  demo: boolean;
  log?: FastifyBaseLogger;
}

export interface BrokerAddress {
  port: number;
  /** null without a certificate */
  tlsPort: number | null;
  /** Of the user `sensor`. */
  password: string;
}

export type App = FastifyInstance<
  Server,
  RawRequestDefaultExpression<Server>,
  RawReplyDefaultExpression<Server>,
  FastifyBaseLogger,
  ZodTypeProvider
>;

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Left out: `full-for-all`, so that a route that forgot to say is shut. */
    needs?: Needs;
  }
  interface FastifyRequest {
    /** Known on every route under /api but those that need nothing. */
    access: Access;
  }
}

import helmet from '@fastify/helmet';
import type { App } from './parts.ts';

const DAY_S = 24 * 3600;

/**
 * Tells browsers to take nothing from elsewhere, run no code that stands in a page, and be framed by
 * nobody. On plain HTTP whatever would bind them to HTTPS is left out: phones would lock themselves out.
 */
export async function protect(app: App, https: boolean): Promise<void> {
  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        connectSrc: ["'self'", 'ws:', 'wss:'],
        imgSrc: ["'self'", 'data:'],
        workerSrc: ["'self'"],
        manifestSrc: ["'self'"],
        objectSrc: ["'none'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    strictTransportSecurity: https && { maxAge: 30 * DAY_S, includeSubDomains: false },
    xFrameOptions: { action: 'deny' },
    crossOriginOpenerPolicy: https,
    originAgentCluster: https,
    // with no-referrer some requests of our own pages would carry the Origin "null"
    referrerPolicy: { policy: 'same-origin' },
  });
}

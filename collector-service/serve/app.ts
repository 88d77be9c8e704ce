import { constants } from 'node:zlib';
import compress from '@fastify/compress';
import Fastify, { LogController } from 'fastify';
import { alertRoutes } from './alerts.ts';
import { checks } from './checks.ts';
import { connectRoutes } from './connect.ts';
import { dayRoutes } from './days.ts';
import { diskRoutes } from './disk.ts';
import { Door } from './door.ts';
import { eveningRoutes } from './evening.ts';
import { guard } from './guard.ts';
import { handoverRoutes } from './handover.ts';
import { protect } from './headers.ts';
import { healthRoutes } from './health.ts';
import { learnedRoutes } from './learned.ts';
import { makeLog } from './log.ts';
import { nightRoutes } from './nights.ts';
import { describeRoutes, openapiRoutes } from './openapi.ts';
import { overheardRoutes } from './overheard.ts';
import { ownerLogRoutes } from './owner-log.ts';
import { pairRoutes } from './pair.ts';
import type { App, Parts } from './parts.ts';
import { phoneRoutes } from './phones.ts';
import { refuseBadHttp, sendProblem } from './problems.ts';
import { readingRoutes } from './readings.ts';
import { setupRoutes } from './setup.ts';
import { sheetRoutes } from './sheet.ts';
import { Sockets } from './socket.ts';
import { tellingRoutes } from './telling.ts';
import { tubRoutes } from './tubs.ts';
import { unreadableRoutes } from './unreadable.ts';
import { serveWebFiles } from './web-files.ts';

const BODY_LIMIT = 1024 * 1024; // bytes
const REQUEST_TIMEOUT = 30_000; // ms, from its first byte to its last
/** How often requests that take longer are looked for [ms]; Node would let them double their time. */
const SLOW_LOOK = 2_000;

/** Builds everything that is served over HTTP, without listening. */
export async function buildApp(parts: Parts): Promise<App> {
  const door = new Door(parts);
  const app = bareApp(parts, door);
  const sockets = new Sockets(app.server, parts, door, app.log);
  app.addHook('preClose', async () => sockets.close());

  await protect(app, parts.settings.tls !== null);
  await app.register(compress, {
    globalDecompression: false,
    brotliOptions: { params: { [constants.BROTLI_PARAM_QUALITY]: 4 } }, // a phone waits for it
  });
  await describeRoutes(app);

  healthRoutes(app, parts);
  await app.register(
    async (api: App) => {
      guard(api, door);
      tubRoutes(api, parts);
      dayRoutes(api, parts);
      sheetRoutes(api, parts);
      readingRoutes(api, parts);
      handoverRoutes(api, parts);
      learnedRoutes(api, parts);
      eveningRoutes(api, parts);
      nightRoutes(api, parts);
      alertRoutes(api, parts);
      ownerLogRoutes(api, parts);
      setupRoutes(api, parts);
      unreadableRoutes(api, parts);
      overheardRoutes(api, parts);
      connectRoutes(api, parts);
      diskRoutes(api, parts);
      pairRoutes(api, parts);
      phoneRoutes(api, parts, (id) => sockets.dropPhone(id));
      tellingRoutes(api, parts);
      openapiRoutes(api);
    },
    { prefix: '/api' },
  );
  await serveWebFiles(app, parts.webFolder);
  return app;
}

function bareApp({ settings, log = makeLog(settings.logLevel) }: Parts, door: Door): App {
  const app = Fastify({
    ...(settings.tls
      ? { https: { ...settings.tls, connectionsCheckingInterval: SLOW_LOOK } }
      : { http: { connectionsCheckingInterval: SLOW_LOOK } }),
    loggerInstance: log,
    logController: new LogController({ disableRequestLogging: true }),
    bodyLimit: BODY_LIMIT,
    requestTimeout: REQUEST_TIMEOUT,
    // as long as an address may be, so that who may see comes before how long a name is
    routerOptions: { maxParamLength: 16_384 },
    // an address that cannot be read finds no route, and so no guard: strangers learn nothing here either
    frameworkErrors: async (error, request, reply) => {
      const stranger = request.url.startsWith('/api')
        ? await door.admit(request.headers, false).then(
            () => null,
            (refusal) => refusal,
          )
        : null;
      sendProblem(stranger ?? error, request, reply);
    },
    clientErrorHandler: refuseBadHttp,
  }) as unknown as App;
  // any page anywhere may send text/plain without asking first
  app.removeContentTypeParser('text/plain');
  // some clients say JSON with every call, also where a route takes no body and they send none
  const parsed = app.getDefaultJsonParser('error', 'error');
  app.addContentTypeParser('application/json', { parseAs: 'string' }, (request, body, done) => {
    if (body === '' && !request.routeOptions.schema?.body) done(null, undefined);
    else parsed(request, body as string, done);
  });
  app.setValidatorCompiler(checks('SUNSTEEP_CALL_INVALID'));
  // the shapes are held by types; checking each answer again would cost a small computer its time
  app.setSerializerCompiler(() => (answer) => JSON.stringify(answer));
  app.setErrorHandler(sendProblem);
  app.addHook('onResponse', async (request, reply) => {
    const { method, routeOptions } = request;
    const answered = { method, route: routeOptions.url, status: reply.statusCode };
    request.log.debug({ ...answered, ms: Math.round(reply.elapsedTime) }, 'answered');
  });
  return app;
}

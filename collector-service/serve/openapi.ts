import swagger from '@fastify/swagger';
import {
  createJsonSchemaTransform,
  createJsonSchemaTransformObject,
} from 'fastify-type-provider-zod';
import { z } from 'zod';
import { logEntrySchema } from '../../model/owner-log.ts';
import { setupSchema } from '../../model/setup.ts';
import {
  alertSchema,
  daySchema,
  dayWithQuartersSchema,
  monthSchema,
  nowSchema,
} from '../../model/shapes.ts';
import type { App } from './parts.ts';
import { problemSchema } from './problems.ts';

/** The shapes that stand once and are pointed to. */
const shapes = z.registry<{ id: string }>();
for (const [id, schema] of Object.entries({
  Alert: alertSchema,
  Day: daySchema,
  DayWithQuarters: dayWithQuartersSchema,
  LogEntry: logEntrySchema,
  Month: monthSchema,
  Now: nowSchema,
  Setup: setupSchema,
  Problem: problemSchema,
})) {
  shapes.add(schema, { id });
}

const description = `Times are ISO 8601 UTC, dates local to the tub, energies kWh, power W,
temperatures °C, flow l/min, differences K. What is not known is null, never 0. Spans of instants
exclude \`to\`; spans of dates include it. Errors are problem documents (RFC 9457).

Live values come by Socket.IO on the same port: send \`watch {tub}\`, then hear \`now\`, \`day\` and
\`alert\`, each with its \`tub\`. The token goes in \`auth: {token}\` or in the Authorization header.`;

const problem = {
  description: 'A problem document',
  content: { 'application/problem+json': { schema: { $ref: '#/components/schemas/Problem' } } },
};

const allShapes = createJsonSchemaTransformObject({ schemaRegistry: shapes as never });

/** Gathers the description of every route that is added after this. */
export async function describeRoutes(app: App): Promise<void> {
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: { title: 'Sunsteep', version: '1', description },
      components: {
        securitySchemes: {
          token: { type: 'http', scheme: 'bearer' },
          phone: { type: 'apiKey', in: 'cookie', name: 'sunsteep_phone' },
        },
      },
      security: [{ token: [] }, { phone: [] }],
    },
    transform: createJsonSchemaTransform({ schemaRegistry: shapes as never }),
    transformObject: (document) => {
      const whole = readAsWritten(allShapes(document));
      for (const path of Object.values(whole.paths)) {
        for (const route of Object.values(path)) route.responses.default = problem;
      }
      return whole as never;
    },
  });
}

/** Every shape stands twice, as it is sent and as it is taken; none of ours differs. */
function readAsWritten(document: unknown): Description {
  const text = JSON.stringify(document).replaceAll(/(#\/components\/schemas\/\w+)Input"/g, '$1"');
  const whole: Description = JSON.parse(text);
  for (const id of Object.keys(whole.components.schemas)) {
    if (id.endsWith('Input')) delete whole.components.schemas[id];
  }
  return whole;
}

interface Description {
  paths: Record<string, Record<string, { responses: Record<string, unknown> }>>;
  components: { schemas: Record<string, unknown> };
}

export function openapiRoutes(api: App): void {
  api.get(
    '/openapi.json',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'This description (OpenAPI 3.1)',
        response: { 200: z.record(z.string(), z.unknown()) },
      },
    },
    async () => api.swagger() as unknown as Record<string, unknown>,
  );
}

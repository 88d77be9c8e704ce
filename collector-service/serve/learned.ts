import { learnedShape } from '../../model/learned-since.ts';
import { learnedSchema } from '../../model/shapes.ts';
import type { App, Parts } from './parts.ts';
import { mustKnow, tubParams } from './tubs.ts';

export function learnedRoutes(api: App, { watching }: Parts): void {
  api.get(
    '/tubs/:tub/learned',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'What is learned of a tub and its loop, as it stands for the newest day',
        params: tubParams,
        response: { 200: learnedSchema },
      },
    },
    async ({ params: { tub } }) => {
      await mustKnow(watching, tub);
      const set = watching.setup().setup.tubs.find(({ id }) => id === tub);
      return learnedShape(watching.learned(tub), set?.place.timeZone ?? 'UTC');
    },
  );
}

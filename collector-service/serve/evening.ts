import { eveningSchema } from '../../model/shapes.ts';
import type { App, Parts } from './parts.ts';
import { noTub, tubParams } from './tubs.ts';

export function eveningRoutes(api: App, { watching }: Parts): void {
  api.get(
    '/tubs/:tub/evening',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'How warm the tub will be in the evening, and when the backup must start',
        params: tubParams,
        response: { 200: eveningSchema },
      },
    },
    async ({ params: { tub } }) => {
      const evening = await watching.evening(tub);
      if (evening === null) throw noTub(tub);
      return evening;
    },
  );
}

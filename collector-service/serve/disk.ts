import { diskSchema } from '../../model/shapes.ts';
import type { App, Parts } from './parts.ts';

/** How much room readings take, and how long that will do; of the whole house. */
export function diskRoutes(api: App, { store, clock, freeDiskMb }: Parts): void {
  api.get(
    '/disk',
    {
      config: { needs: 'full-for-all' },
      schema: {
        summary: 'How large the store is, by how much it grows, and how much room is left',
        response: { 200: diskSchema },
      },
    },
    async () => {
      const freeMb = await freeDiskMb();
      return {
        storeMb: (await store.size()) / 1e6,
        growsMbPerYear: ((await store.growth(clock.now())) * 365) / 1e6,
        freeMb,
      };
    },
  );
}

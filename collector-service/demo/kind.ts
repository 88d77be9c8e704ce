import { SunsteepError } from '../errors.ts';
import type { Store } from '../store/store.ts';

/** When the simulated loop of a store began; a store without it holds what was really heard. */
export const DEMO_SINCE = 'demonstration since';

/** Refuses to mix a demonstration with what was really heard. */
export async function refuseMixing(store: Store, demo: boolean, folder: string): Promise<void> {
  const isDemo = (await store.note(DEMO_SINCE)) !== null;
  const isUsed = (await store.tubs()).length > 0;
  if (isDemo === demo || (demo && !isUsed)) return;
  throw new SunsteepError(
    'SUNSTEEP_SETTING_INVALID',
    `SUNSTEEP_DATA is ${folder}, which holds ${isDemo ? 'a demonstration' : 'real readings'}: set a folder of its own`,
  );
}

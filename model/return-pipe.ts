import { pipeLitres } from './pipe.ts';
import type { TubSettings } from './tub-settings.ts';

/** Usual inner diameter of the loop's pipes; common practice, no source. [m] */
const INNER_M = 0.014;

/** Water in the pipe back to the tub, which is half of all pipe [l]. */
export const returnPipeLitres = ({ loop }: TubSettings): number =>
  pipeLitres(loop.pipeMetres / 2, INNER_M);

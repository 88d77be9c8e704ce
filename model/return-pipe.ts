import { pipeLitres } from './pipe.ts';
import type { TubSettings } from './tub-settings.ts';

/** The pipe's wall warms with its water; by this much more than the water alone. */
const WALL = 1.5;
/** Usual inner diameter of the loop's pipes; common practice, no source. [m] */
const INNER_M = 0.014;

/** Water in the pipe back to the tub, which is half of all pipe, its wall counted as water [l]. */
export const returnPipeLitres = ({ loop }: TubSettings): number =>
  WALL * pipeLitres(loop.pipeMetres / 2, INNER_M);

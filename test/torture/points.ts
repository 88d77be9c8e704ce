import { chanceOf } from '../store/chance.ts';
import { FailingSteps } from '../store/failing-steps.ts';
import { livesOf } from '../store/life.ts';
import { cutPower } from '../store/power-cuts.ts';

/** Each life is lived for so many acts where its steps fail one by one: a short one has many already. */
const ACTS = 8;
/** Power cuts of a round, beside the steps of one short life. */
const CUTS_IN_A_ROUND = 300;

/**
 * Lets the disk fail and the power go at `count` points of lives that are drawn by chance: each step of
 * keeping and working out fails once or for good, and the power goes at each transaction.
 *
 * @throws what was found, after the round of the seed in which it was
 */
export async function points(seed: number, count: number): Promise<void> {
  let [failed, cut, whole] = [0, 0, 0];
  for (let round = 0; failed + cut < count; round++) {
    const left = () => count - failed - cut;
    try {
      for (const failure of ['once', 'for good'] as const) {
        const life = new FailingSteps(livesOf(chanceOf(seed + round), 6).slice(0, ACTS));
        for (let step = 1; left() > 0 && (await life.try(step, failure)); step++) failed++;
      }
      const chance = chanceOf(seed + round);
      for (let inRound = 0; left() > 0 && inRound < CUTS_IN_A_ROUND; ) {
        const told = await cutPower(chance, left());
        [cut, whole, inRound] = [cut + told.cuts, whole + told.whole, inRound + told.cuts];
      }
    } catch (error) {
      console.error(`round ${round}, after ${failed} failed steps and ${cut} power cuts:`);
      throw error;
    }
    console.info(`${failed} failed steps, ${cut} power cuts`);
  }
  console.info(
    `${failed + cut} points: ${failed} failed steps, ${cut} power cuts, in ${whole} of these what was under way was there; nothing was lost, twice or worked out otherwise`,
  );
}

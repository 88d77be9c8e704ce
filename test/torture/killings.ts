import { killAgain } from '../service/live/kills.ts';
import { endAll } from '../service/live/program.ts';
import { chanceOf } from '../store/chance.ts';

/** A house whose store grows for so many kills; then another one. */
const KILLS_IN_A_ROUND = 25;

/** Kills the built service `count` times, by turns with its own broker and with a real Mosquitto. */
export async function killings(seed: number, count: number): Promise<void> {
  let [done, acknowledged] = [0, 0];
  for (let round = 0; done < count; round++) {
    const now = Math.min(KILLS_IN_A_ROUND, count - done);
    const broker = round % 2 === 0 ? 'its own broker' : 'Mosquitto';
    try {
      const told = await killAgain(broker, now, chanceOf(seed + round));
      acknowledged += told.acknowledged;
      done += now;
      console.info(`${done} kills, the last ${now} with ${broker}`);
    } catch (error) {
      console.error(`round ${round}, with ${broker}:`);
      throw error;
    } finally {
      await endAll();
    }
  }
  console.info(`${done} kills, ${acknowledged} messages acknowledged meanwhile, none missing`);
}

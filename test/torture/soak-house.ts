// A process of its own that lives in a simulated house and hands over what its board sends, a local day at
// a time, whenever it is asked: so that the memory of the simulator is not taken for the program's.
// Called with: seed, first local date, days, and the faults as JSON.
import { Simulation } from '../simulator/simulation.ts';
import { calmHouse } from './calm-house.ts';

const [seed, from, days, faults] = process.argv.slice(2);
const simulation = new Simulation({
  seed: Number(seed),
  kit: 'C',
  from: from!,
  days: Number(days),
  faults: JSON.parse(faults!),
  overrides: calmHouse,
  tub: 'kowhai',
});
const batches = simulation.batches();
process.send!({ setup: simulation.setup, points: simulation.points });
process.on('message', () => {
  const { done, value } = batches.next();
  process.send!(done ? null : value);
  if (done) process.disconnect();
});

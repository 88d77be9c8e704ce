import { quickFolder } from '../store/folders.ts';
import { type Sample, type Soaked, soak } from './soak.ts';

const DAY = 86_400_000; // ms
const FROM = '2025-01-01';
/** What rules tell of may be over a good while after what caused it is. */
const OVER_WITHIN_DAYS = 10;
const MEMORY_GROWS_MB = 15;
/** Share by which the store may grow otherwise than it said. */
const GROWS_OTHERWISE = 0.05;

/**
 * Lives through `days` of a simulated house with the full kit, a row a minute, as fast as it goes; the pump
 * dies for some days in the middle.
 *
 * @throws where memory grows after the first tenth, the store grows otherwise than it said, or something is
 *   told that nothing caused
 */
export async function year(seed: number, days: number): Promise<void> {
  const middle = Math.floor(days / 2);
  const faults = [{ fault: 'pump-dead', fromDay: middle, toDay: middle + 3 }];
  const { folder, remove } = quickFolder();
  try {
    const told = await soak(folder, { seed, from: FROM, days, faults }, (sample, seconds) => {
      console.info(`${lineOf(sample)}, after ${(seconds / 60).toFixed(1)} min`);
    });
    const troubles = [
      ...memoryTroubles(told.samples),
      ...growthTroubles(told.samples),
      ...alertTroubles(told, middle),
      ...told.failures.map((error) => `working out failed: ${error}`),
    ];
    for (const trouble of troubles) console.error(trouble);
    if (troubles.length > 0) throw new Error(`${troubles.length} things were not as promised`);
    console.info(
      `${days} days, ${told.readings} readings in ${(told.seconds / 60).toFixed(1)} min, as promised`,
    );
  } finally {
    remove();
  }
}

const lineOf = ({ day, heapMb, residentMb, storeBytes }: Sample): string =>
  `day ${day}: ${heapMb.toFixed(1)} MB in use, ${residentMb.toFixed(0)} MB resident, store ${(storeBytes / 1e6).toFixed(1)} MB`;

function memoryTroubles(samples: readonly Sample[]): string[] {
  const first = Math.max(1, Math.ceil(samples.length / 10));
  const before = Math.max(...samples.slice(0, first).map(({ heapMb }) => heapMb));
  const last = samples.slice(-3).map(({ heapMb }) => heapMb);
  const after = Math.min(...last); // what goes up and down by chance is no growth
  return after - before > MEMORY_GROWS_MB
    ? [`memory grew from ${before.toFixed(1)} to ${after.toFixed(1)} MB after the first tenth`]
    : [];
}

function growthTroubles(samples: readonly Sample[]): string[] {
  const [first, last] = [samples[0]!, samples.at(-1)!];
  if (last.day === first.day) return [];
  const grew = (last.storeBytes - first.storeBytes) / (last.day - first.day);
  console.info(
    `the store grew by ${(grew / 1e3).toFixed(0)} kB a day, ${(first.growthADay / 1e3).toFixed(0)} were told`,
  );
  return Math.abs(grew / first.growthADay - 1) > GROWS_OTHERWISE
    ? [`the store grew by ${grew} bytes a day and not by ${first.growthADay}`]
    : [];
}

function alertTroubles({ alerts, from, raises }: Soaked, middle: number): string[] {
  const [begin, end] = [middle, middle + 3 + OVER_WITHIN_DAYS].map((day) => from + day * DAY);
  const isCaused = (fault: string, raisedAt: number) =>
    raises.includes(fault) && raisedAt >= begin! && raisedAt < end!;
  for (const { fault, severity, since, until } of alerts) {
    console.info(`${severity} ${fault}: since ${since} until ${until}`);
  }
  const unfounded = alerts.filter(({ fault, raisedAt }) => !isCaused(fault, Date.parse(raisedAt)));
  const missed = alerts.length === unfounded.length ? ['the dead pump was not told'] : [];
  return [
    ...missed,
    ...unfounded.map(
      ({ fault, since, evidence }) => `${fault} since ${since}: ${JSON.stringify(evidence)}`,
    ),
  ];
}

// A process of its own that keeps batches, one after another, and prints the number of each once the
// store has said that it is kept. Called with: folder, tub, number of the first batch, how many.
import { writeSync } from 'node:fs';
import { openStore } from '../../collector-service/store/sqlite-store.ts';
import { batch } from './batches.ts';

const [folder, tub, first, count] = process.argv.slice(2);
const store = openStore(folder!);
for (let n = Number(first); n < Number(first) + Number(count); n++) {
  await store.keep(batch(tub!, n));
  writeSync(1, `${n}\n`);
}
await store.close();

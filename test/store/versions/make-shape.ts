// Writes down what is kept of days, once for each schema version, with the program of that version:
//   node --import tsx test/store/versions/make-shape.ts
// writes days-N.json beside this file. One that is there is never changed: days that have another shape
// need one more step in collector-service/store/schema.ts, which has all of them worked out again.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { migrations } from '../../../collector-service/store/schema.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import { dayShapes } from './shape.ts';

const folder = mkdtempSync(join(tmpdir(), 'sunsteep-shape-'));
const store = openStore(folder);
const shapes = await dayShapes(store, folder);
await store.close();
rmSync(folder, { recursive: true });
const file = `days-${migrations.length}.json`;
writeFileSync(join(import.meta.dirname, file), `${JSON.stringify(shapes, null, 1)}\n`, {
  flag: 'wx',
});
console.log(file);

import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Disk } from '../../model/shapes.ts';
import { get } from '../service.ts';
import { say } from '../speech.ts';
import { setupWords } from './speech.ts';

/** null: not known, or this phone is not told. */
const disk = signal<Disk | null>(null);

async function fetchDisk(): Promise<void> {
  const answer = await get<Disk>('/api/disk');
  if (answer.ok) disk.value = answer.body;
}

/** How much room readings take. */
export function DiskRoom() {
  useEffect(() => {
    fetchDisk();
  }, []);
  if (disk.value === null) return null;
  const { storeMb, growsMbPerYear, freeMb } = disk.value;
  const told = { storeMb, growsMbPerYear: growsMbPerYear > 0 ? growsMbPerYear : null, freeMb };
  return <p class="muted">{setupWords.disk(told, say.value)}</p>;
}

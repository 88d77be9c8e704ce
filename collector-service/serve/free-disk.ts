import { statfs } from 'node:fs/promises';

const MB = 1e6; // bytes

/** Room that is left for us on the disk of a folder [MB]; null where the system does not tell. */
export async function freeDiskMb(folder: string): Promise<number | null> {
  try {
    const { bavail, bsize } = await statfs(folder);
    return Math.floor((bavail * bsize) / MB);
  } catch {
    return null;
  }
}

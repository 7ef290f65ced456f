import { readdir, rm, stat } from 'node:fs/promises';
import { relative, resolve } from 'node:path';

/** What both sample commands share: where they draw, and how they tell what they do. */

/** The day of the sample's delivery, so that the bundle is the same whenever the sample is run. */
export const sampleDay = '2026-02-02';

/**
 * The folder to draw into, as a full path. What an earlier sample left there is removed; a folder that holds anything
 * else is refused.
 */
export async function freshFolder(path: string): Promise<string> {
  const folder = resolve(path);
  const isThere = await stat(folder).then(
    () => true,
    () => false,
  );
  if (isThere) {
    const content = await readdir(folder);
    if (content.length > 0 && !content.includes('job.yaml')) {
      throw new Error(`${folder} holds other files; give --out an empty folder`);
    }
    await rm(folder, { recursive: true });
  }
  return folder;
}

export function say(line = ''): void {
  process.stdout.write(`${line}\n`);
}

/** Seconds since a time, as people read them. */
export function secondsSince(startMs: number): string {
  return `${((Date.now() - startMs) / 1000).toFixed(1)} s`;
}

/** A path as one would type it here. */
export function shortPath(path: string): string {
  const short = relative(process.cwd(), path);
  return short.startsWith('..') ? path : short;
}

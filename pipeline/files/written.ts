import { type Stats, stat } from 'node:fs';

/** A file as it was written: whoever writes to it later changes one of these. */
export interface Written {
  readonly bytes: number;
  readonly mtimeMs: number;
}

/**
 * How files stand now, asked all at once; undefined for those that are not there or cannot be asked. An unchanged issue of 2,000 pages
 * asks for 60,000, and a promise for each takes as long as the asking: so there is one for all of them.
 * @param paths absolute
 * @returns in the order of the paths
 */
export function asWritten(paths: readonly string[]): Promise<readonly (Written | undefined)[]> {
  return new Promise((resolve) => {
    const found = new Array<Written | undefined>(paths.length);
    let left = paths.length;
    if (left === 0) resolve(found);
    for (const [at, path] of paths.entries()) {
      stat(path, (failed: Error | null, facts: Stats) => {
        found[at] = failed === null ? { bytes: facts.size, mtimeMs: facts.mtimeMs } : undefined;
        if (--left === 0) resolve(found);
      });
    }
  });
}

/** Whether a file stands as it was written. */
export function isAsWritten(
  now: Written | undefined,
  then: { bytes: number; mtimeMs: number | undefined },
): boolean {
  return now !== undefined && now.bytes === then.bytes && now.mtimeMs === then.mtimeMs;
}

import { createHash } from 'node:crypto';
import { mkdir, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';

/** Bags made by hand, so that what the program writes is never its own measure. Path inside the bag to content. */
export type BagParts = Record<string, string | Buffer>;

export function sum(algorithm: string, content: string | Buffer): string {
  return createHash(algorithm).update(content).digest('hex');
}

/** One manifest of the given parts. */
export function manifest(algorithm: string, parts: BagParts): string {
  return Object.entries(parts)
    .map(([path, content]) => `${sum(algorithm, content)}  ${path}\n`)
    .join('');
}

const declaration = 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n';
export const declaration097 = 'BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-8\n';

/** A bag of the given payload with a SHA-512 manifest, like `basicBag` of the published conformance suite. */
export function bag(payload: BagParts, extra: BagParts = {}): BagParts {
  return {
    'bagit.txt': declaration,
    'manifest-sha512.txt': manifest('sha512', payload),
    ...payload,
    ...extra,
  };
}

/** Adds a tag manifest of every tag file there is. */
export function withTagManifest(parts: BagParts, algorithm = 'sha512'): BagParts {
  const tags = Object.fromEntries(Object.entries(parts).filter(([path]) => !path.startsWith('data/')));
  return { ...parts, [`tagmanifest-${algorithm}.txt`]: manifest(algorithm, tags) };
}

export async function writeBag(folder: string, parts: BagParts): Promise<void> {
  for (const [path, content] of Object.entries(parts)) {
    await mkdir(dirname(join(folder, path)), { recursive: true });
    await writeFile(join(folder, path), content);
  }
}

import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The folder that holds platehand's package.json, whether the code runs from source or compiled. */
export function packageRoot(): string {
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!existsSync(join(folder, 'package.json'))) folder = dirname(folder);
  return folder;
}

/** platehand's own version, as its package.json states it. */
export function packageVersion(): string {
  const text = readFileSync(join(packageRoot(), 'package.json'), 'utf8');
  return (JSON.parse(text) as { version: string }).version;
}

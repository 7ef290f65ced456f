import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { packageRoot } from './package-root.js';

/**
 * Path of the compiled file that a new process or thread starts with, beside the module that asks. Run from source
 * (as tests do), a module finds the compiled one in dist/, since Node starts no TypeScript.
 * @param moduleUrl `import.meta.url` of the asking module
 * @param name file name of the entry, such as `page-process.js`
 */
export function processEntry(moduleUrl: string, name: string): string {
  const here = fileURLToPath(moduleUrl);
  const beside = join(here, '..', name);
  if (!here.endsWith('.ts')) return beside;
  return join(packageRoot(), 'dist', relative(packageRoot(), beside));
}

import { join } from 'node:path';
import { packageRoot } from './package-root.js';

/**
 * What is started by itself: the command line, and what runs in processes and threads of its own. The build makes one file
 * of each (`npm run programs`), because loading some hundred small ones takes longer than a page's proof.
 */
export type Program = 'platehand' | 'page-process' | 'sheet-process' | 'profile-trial';

/** Path of a program's compiled file, also where the rest runs from source, as tests do. */
export function programPath(program: Program): string {
  return join(packageRoot(), 'dist', 'programs', `${program}.cjs`);
}

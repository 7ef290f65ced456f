import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { PlatehandError } from './errors.js';

const here = dirname(fileURLToPath(import.meta.url));

/**
 * The folder that holds platehand's package.json, whether the code runs from source or compiled. A package.json of
 * another name is passed over: the code may have been copied into somebody's project.
 * @param from where to begin looking upwards; default the folder of this code
 * @throws PlatehandError `installation-broken` where there is none up to the root
 */
export function packageRoot(from: string = here): string {
  for (let folder = from; ; folder = dirname(folder)) {
    if (readPackage(folder)?.name === 'platehand') return folder;
    if (dirname(folder) === folder) throw noPackage(from);
  }
}

/** platehand's own version, as its package.json states it. */
export function packageVersion(): string {
  version ??= readPackage(packageRoot())?.version ?? '';
  return version;
}

/** Read once: every key that is taken asks for it. */
let version: string | undefined;

/** What a folder's package.json says; undefined where there is none that can be read. */
function readPackage(folder: string): { readonly name?: unknown; readonly version?: string } | undefined {
  try {
    return JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8')) ?? undefined;
  } catch {
    return undefined;
  }
}

function noPackage(from: string): PlatehandError {
  return new PlatehandError(
    'installation-broken',
    'There is no package.json of platehand beside or above its program',
    'Install platehand again, and leave its files where the installation puts them.',
    { place: { file: from } },
  );
}

/**
 * What is started by itself: the command line, and what runs in processes and threads of its own. The build makes one file
 * of each (`npm run programs`), because loading some hundred small ones takes longer than a page's proof.
 */
export type Program = 'platehand' | 'page-process' | 'sheet-process' | 'profile-trial';

/** Path of a program's compiled file, also where the rest runs from source, as tests do. */
export function programPath(program: Program): string {
  return join(packageRoot(), 'dist', 'programs', `${program}.cjs`);
}

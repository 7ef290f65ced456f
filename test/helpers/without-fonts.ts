import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { packageRoot } from '../../config/package-root.js';
import type { Raster } from '../../pipeline/model/raster.js';

/** SHA-256 of a picture's samples and size. */
export function hashOfRaster(raster: Raster): string {
  return createHash('sha256').update(raster.data).update(`${raster.width}x${raster.height}`).digest('hex');
}

/**
 * The hash of a picture drawn by the compiled program in a process of its own that finds no fonts: an empty home folder
 * and no font configuration.
 * @param module compiled module, from the package's root, such as `dist/pipeline/proof.js`
 * @param expression what makes the picture; `drawn` names the module's exports, `arena` is memory to draw in
 */
export function hashDrawnWithoutFonts(module: string, expression: string): string {
  const home = mkdtempSync(join(tmpdir(), 'platehand-no-fonts-'));
  const code = `
    const drawn = await import(${JSON.stringify(compiledModule(module))});
    const { PageArena } = await import(${JSON.stringify(compiledModule('dist/pipeline/kernels/page-arena.js'))});
    const arena = new PageArena();
    const { createHash } = await import('node:crypto');
    const { data, width, height } = await (${expression});
    console.log(createHash('sha256').update(data).update(width + 'x' + height).digest('hex'));`;
  const env = { PATH: process.env.PATH, HOME: home, FONTCONFIG_FILE: '/dev/null', FONTCONFIG_PATH: home };
  try {
    return execFileSync(process.execPath, ['--input-type=module', '-e', code], {
      env,
      encoding: 'utf8',
    }).trim();
  } finally {
    rmSync(home, { recursive: true });
  }
}

function compiledModule(path: string): string {
  return pathToFileURL(join(packageRoot(), path)).href;
}

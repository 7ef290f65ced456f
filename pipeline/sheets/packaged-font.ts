import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import opentype from 'opentype.js';
import { PlatehandError } from '../../config/errors.js';

/** The fonts that come with platehand as a package, so that sheets look alike on every machine. */

export type FontWeight = 'regular' | 'bold';

/** A font, read. */
export interface PackagedFont {
  readonly bytes: Buffer;
  readonly font: ReturnType<typeof opentype.parse>;
}

const fontFiles: Readonly<Record<FontWeight, string>> = {
  regular: 'DejaVuSansCondensed.ttf',
  bold: 'DejaVuSansCondensed-Bold.ttf',
};

/** Where the font of a weight lies. */
export function fontPath(weight: FontWeight): string {
  return createRequire(import.meta.url).resolve(`dejavu-fonts-ttf/ttf/${fontFiles[weight]}`);
}

/**
 * Reads the font of a weight.
 * @param pathOf where it lies; default in the package
 * @throws PlatehandError `installation-broken` where it is not there or is no font
 */
export function packagedFont(weight: FontWeight, pathOf: typeof fontPath = fontPath): PackagedFont {
  try {
    const bytes = readFileSync(pathOf(weight));
    // Glyphs are read when they are needed: of thousands, a proof draws some sixty, in 12 ms instead of 78.
    const font = opentype.parse(new Uint8Array(bytes).buffer, { lowMemory: true });
    // What is no font may be noticed at its first glyph only.
    const letter = font.glyphs.get(font.charToGlyphIndex('x'));
    if (letter.getPath(0, 0, 1).commands.length === 0) throw new Error('it has no letters');
    return { bytes, font };
  } catch (cause) {
    const what = `A font of platehand, ${fontFiles[weight]}, is missing or damaged`;
    throw new PlatehandError('installation-broken', what, 'Install platehand again (npm ci).', { cause });
  }
}

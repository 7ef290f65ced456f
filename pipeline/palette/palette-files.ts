import type { CommonColour, StoryColours } from '../model/palette.js';
import { labOfOklab } from './cie-lab.js';
import { hexOf } from './oklab.js';

/** Palettes as open swatch data, for other programs: a table, and custom properties of CSS. */

/** What palettes.csv has in its first row. */
const columns = ['of', 'id', 'scene', 'rank', 'share_percent', 'lab_l', 'lab_a', 'lab_b', 'srgb'];

/**
 * All palettes as a table (RFC 4180): a row a colour, pages first. `of` is page, scene or unifying; a unifying colour's share is that on
 * the scene's middle page. Lab is CIE L*a*b* relative to D50, as print is measured.
 */
export function palettesCsv({ pages, scenes }: StoryColours): string {
  const rows = [columns];
  const add = (of: string, id: string, scene: string, palette: readonly CommonColour[]) => {
    for (const [at, { oklab, sharePercent }] of palette.entries()) {
      const lab = labOfOklab(oklab).map((value) => (Number(value.toFixed(2)) + 0).toFixed(2));
      rows.push([of, id, scene, `${at + 1}`, sharePercent.toFixed(2), ...lab, hexOf(oklab)]);
    }
  };
  for (const { page, scene, palette } of pages) add('page', page, scene ?? '', palette);
  for (const { scene, palette, unifying } of scenes) {
    add('scene', scene, scene, palette);
    if (unifying === undefined) continue;
    add('unifying', scene, scene, [{ oklab: unifying.oklab, sharePercent: unifying.medianPercent }]);
  }
  return rows.map((row) => `${row.map(quoted).join(',')}\r\n`).join('');
}

/** A field with a mark of its own is put in quotes. */
function quoted(field: string): string {
  return /[",\r\n]/.test(field) ? `"${field.replaceAll('"', '""')}"` : field;
}

/** All palettes as custom properties, such as `--page-7-colour-1` and `--scene-night-unifying`. */
export function palettesCss({ pages, scenes }: StoryColours): string {
  const lines = ['@charset "utf-8";', ':root {'];
  const add = (name: string, palette: readonly CommonColour[]) => {
    for (const [at, { oklab }] of palette.entries())
      lines.push(`  --${name}-colour-${at + 1}: ${hexOf(oklab)};`);
  };
  for (const { page, palette } of pages) add(`page-${cssName(page)}`, palette);
  for (const { scene, palette, unifying } of scenes) {
    add(`scene-${cssName(scene)}`, palette);
    if (unifying !== undefined) lines.push(`  --scene-${cssName(scene)}-unifying: ${hexOf(unifying.oklab)};`);
  }
  return [...lines, '}', ''].join('\n');
}

/** What may not stand in a name as it is, is written as its number (CSS Syntax Module Level 3, section 2.1). */
function cssName(id: string): string {
  return id.replace(/[^\w\u0080-\u{10ffff}-]/gu, (sign) => `\\${sign.codePointAt(0)?.toString(16)} `);
}

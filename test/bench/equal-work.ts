import { stat } from 'node:fs/promises';
import sharp from 'sharp';
import type { SizePx } from '../../config/units.js';
import type { Plate } from '../../pipeline/model/raster.js';
import type { Contender, PageOutputs } from './contenders.js';
import { readInks, readPlate } from './floor-page.js';
import type { PageKind } from './kinds/page-kind.js';

/** How a contender's outputs compare with platehand's of the same page. */
export interface Comparison {
  readonly name: string;
  /** Mean difference of cyan, magenta, yellow and black in the composite, of 255; of pairs everywhere, else beside the line. */
  readonly inkDifference: readonly number[];
  /** Line pixels that differ. */
  readonly linePixels: number;
  /** Bytes of composite, plates, line and proof together. */
  readonly bytes: number;
}

/** Differences beyond these mean that something else was made: the ink limit alone moves the mean by two or three. */
const mostInkDifference = 12;

/**
 * Line pixels that may differ, as a share of the page. Of pairs any may: their line is copied, and the figure is printed. On layers
 * line with light above it is no line to platehand, up to a fifth of all line, which covers some tenth of the page; scripts
 * take all. On flat pages scripts take dark paint for line; with lettering, edges of letters.
 */
const mostLineShare = 0.04;

/**
 * Compares every contender's first page with platehand's. Pages of pairs are compared all over. Of other kinds what lies on and
 * right beside platehand's line is left out: there scripts leave the colour as it is (beneath the line of a flat page black of
 * four inks, where platehand fills in what surrounds it; support ink) and draw the limit between line and light otherwise.
 * @throws Error where sizes differ, a file is missing, or the colours are further apart than settings explain
 */
export async function compareWork(all: readonly Contender[], kind: PageKind): Promise<Comparison[]> {
  const [own, ...others] = all;
  const reference = own.outputs?.(1);
  if (reference === undefined) throw new Error('platehand comes first');
  const comparisons: Comparison[] = [];
  for (const other of others) {
    if (other.outputs === undefined) continue;
    comparisons.push(await compare(other.name, reference, other.outputs(1), kind));
  }
  return comparisons;
}

async function compare(
  name: string,
  own: PageOutputs,
  other: PageOutputs,
  kind: PageKind,
): Promise<Comparison> {
  const [a, b] = [await readInks(own.composite), await readInks(other.composite)];
  sameSize(name, 'composite', a, b);
  for (const [i, plate] of other.plates.entries()) {
    sameSize(name, 'plate', await sharp(own.plates[i]).metadata(), await sharp(plate).metadata());
  }
  const [ownLine, otherLine] = [await readPlate(own.line), await readPlate(other.line)];
  sameSize(name, 'line', ownLine, otherLine);
  const compared = kind === 'pairs' ? undefined : besideLine(ownLine, a);
  const inkDifference = a.planes.map((plane, band) => meanDifference(plane, b.planes[band], compared));
  if (Math.max(...inkDifference) > mostInkDifference) {
    throw new Error(`${name} made other colours: ${inkDifference.map((each) => each.toFixed(1)).join(', ')}`);
  }
  const linePixels = ownLine.data.reduce((sum, ink, i) => sum + (ink === otherLine.data[i] ? 0 : 1), 0);
  if (kind !== 'pairs' && linePixels > mostLineShare * ownLine.data.length) {
    throw new Error(`${name} made another line: ${linePixels} pixels differ`);
  }
  const files = [other.composite, ...other.plates, other.line, other.proof];
  const sizes = await Promise.all(files.map(async (file) => (await stat(file)).size));
  return { name, inkDifference, linePixels, bytes: sizes.reduce((sum, size) => sum + size, 0) };
}

interface Size {
  readonly width?: number;
  readonly height?: number;
}

function sameSize(name: string, what: string, one: Size, other: Size): void {
  if (one.width === other.width && one.height === other.height) return;
  throw new Error(
    `${name}: ${what} of ${other.width} x ${other.height}, expected ${one.width} x ${one.height}`,
  );
}

/** Marks pixels of the composite that have no line on them and none beside them. */
function besideLine(line: Plate, composite: SizePx): Uint8Array {
  const { width, height } = composite;
  const free = new Uint8Array(width * height).fill(1);
  for (let y = 0, at = 0; y < line.height; y++) {
    const row = Math.min(height - 1, Math.floor((y * height) / line.height));
    for (let x = 0; x < line.width; x++, at++) {
      if (line.data[at] === 0) continue;
      const column = Math.min(width - 1, Math.floor((x * width) / line.width));
      for (let near = Math.max(0, row - 1); near <= Math.min(height - 1, row + 1); near++) {
        free.fill(0, near * width + Math.max(0, column - 1), near * width + Math.min(width, column + 2));
      }
    }
  }
  return free;
}

function meanDifference(one: Uint8Array, other: Uint8Array, compared: Uint8Array | undefined): number {
  let [sum, count] = [0, 0];
  for (let i = 0; i < one.length; i++) {
    if (compared?.[i] === 0) continue;
    sum += Math.abs(one[i] - other[i]);
    count++;
  }
  return count === 0 ? 0 : sum / count;
}

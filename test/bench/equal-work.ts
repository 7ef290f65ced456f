import { stat } from 'node:fs/promises';
import sharp from 'sharp';
import type { Contender, PageOutputs } from './contenders.js';
import { readInks, readPlate } from './floor-page.js';

/** How a contender's outputs compare with platehand's of the same page. */
export interface Comparison {
  readonly name: string;
  /** Mean difference of cyan, magenta, yellow and black in the composite, of 255. */
  readonly inkDifference: readonly number[];
  /** Line pixels that differ. */
  readonly linePixels: number;
  /** Bytes of composite, plates, line and proof together. */
  readonly bytes: number;
}

/** Differences beyond these mean that something else was made: the ink limit alone moves the mean by two or three. */
const mostInkDifference = 12;

/**
 * Compares every contender's first page with platehand's.
 * @throws Error where sizes differ, a file is missing, or the colours are further apart than settings explain
 */
export async function compareWork(all: readonly Contender[]): Promise<Comparison[]> {
  const [own, ...others] = all;
  const reference = own.outputs?.(1);
  if (reference === undefined) throw new Error('platehand comes first');
  const comparisons: Comparison[] = [];
  for (const other of others) {
    if (other.outputs !== undefined) comparisons.push(await compare(other.name, reference, other.outputs(1)));
  }
  return comparisons;
}

async function compare(name: string, own: PageOutputs, other: PageOutputs): Promise<Comparison> {
  const [a, b] = [await readInks(own.composite), await readInks(other.composite)];
  sameSize(name, 'composite', a, b);
  for (const [i, plate] of other.plates.entries()) {
    sameSize(name, 'plate', await sharp(own.plates[i]).metadata(), await sharp(plate).metadata());
  }
  const inkDifference = a.planes.map((plane, band) => meanDifference(plane, b.planes[band]));
  if (Math.max(...inkDifference) > mostInkDifference) {
    throw new Error(`${name} made other colours: ${inkDifference.map((each) => each.toFixed(1)).join(', ')}`);
  }
  const [ownLine, otherLine] = [await readPlate(own.line), await readPlate(other.line)];
  sameSize(name, 'line', ownLine, otherLine);
  const linePixels = ownLine.data.reduce((sum, ink, i) => sum + (ink === otherLine.data[i] ? 0 : 1), 0);
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

function meanDifference(one: Uint8Array, other: Uint8Array): number {
  let sum = 0;
  for (let i = 0; i < one.length; i++) sum += Math.abs(one[i] - other[i]);
  return sum / one.length;
}

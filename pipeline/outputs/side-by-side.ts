import type { SizePx } from '../../config/units.js';
import { reducedInks } from '../inks/reduced-inks.js';
import { cutOut } from '../kernels/edges.js';
import type { Raster } from '../model/raster.js';
import { processPlanes, type Separation, separationOf } from '../model/separation.js';
import { drawOver } from '../sheets/draw-over.js';
import { box, canvasOf, ground, ink, line, type PxBox, place, scaled, text } from '../sheets/drawing.js';
import { type MadeFile, type OutputContext, picture } from './product.js';

/** Places of a page enlarged, each twice, side by side: as painted and as printed, or before and after. */

/** One place, as it is shown. */
export interface ShownPlace {
  /** Squares of it, of any size: they are brought to the size of a cell. */
  readonly left: Raster;
  readonly right: Raster;
  /** What stands below. */
  readonly label: string;
  /** What is boxed on both, in pixels of a cell; undefined for nothing. */
  readonly boxed: PxBox | undefined;
}

/** What such a picture says. */
export interface SideBySide {
  readonly role: string;
  readonly title: string;
  /** What is seen on the left, and on the right. */
  readonly words: readonly [string, string];
  /** Side of a cell, in pixels. */
  readonly cellPx: number;
  readonly rows: readonly ShownPlace[];
}

const marginPx = 24;
const headPx = 58;
const labelPx = 34;
const typePx = 15;

/** Draws places below each other. */
export async function sideBySide(
  { role, title, words, cellPx, rows }: SideBySide,
  { request, arena }: Pick<OutputContext, 'request' | 'arena'>,
): Promise<MadeFile> {
  const width = 3 * marginPx + 2 * cellPx;
  const canvas = canvasOf(width, headPx + rows.length * (cellPx + labelPx) + marginPx, ground.proof, arena);
  const columns = [marginPx, 2 * marginPx + cellPx];
  const look = { sizePx: typePx, fill: ink.plain };
  const shapes = [
    text(title, marginPx, 24, { ...look, fill: ink.strong }),
    ...columns.map((left, at) => text(words[at], left, headPx - 10, look)),
  ];
  for (const [row, one] of rows.entries()) {
    const top = headPx + row * (cellPx + labelPx);
    for (const [at, seen] of [one.left, one.right].entries()) {
      place(canvas, await scaled(seen, cellPx, cellPx), columns[at], top);
    }
    if (one.boxed !== undefined) for (const left of columns) shapes.push(boxedAt(one.boxed, left, top));
    shapes.push(text(one.label, marginPx, top + cellPx + 22, { sizePx: typePx }));
  }
  await drawOver(canvas, shapes, arena);
  return picture(role, canvas, request.page.spec.proofPpi);
}

/** A box in red on white, so that it shows on any art. */
function boxedAt({ left, top, width, height }: PxBox, cellLeft: number, cellTop: number): string {
  const around = box(cellLeft + left, cellTop + top, width, height);
  return line(around, { stroke: '#fff', width: 3 }) + line(around, { stroke: '#d00000', width: 1.5 });
}

/** A square around a point of a picture, within the picture; in whole pixels. */
export function squareAround(x: number, y: number, sidePx: number, { width, height }: SizePx): PxBox {
  const side = Math.min(width, height, Math.round(sidePx));
  const from = (at: number, length: number) =>
    Math.min(length - side, Math.max(0, Math.round(at - side / 2)));
  return { left: from(x, width), top: from(y, height), width: side, height: side };
}

/** Part of a page's process inks. */
export function inksWithin(crop: PxBox, { inks: { composite } }: Pick<OutputContext, 'inks'>): Separation {
  const [cyan, magenta, yellow, black] = processPlanes(composite).map((plane) =>
    cutOut(plane, 1, composite, crop),
  );
  const planes = { cyan, magenta, yellow, black };
  return separationOf(crop, (name) => planes[name]);
}

/** Inks as they look on a screen. */
export async function onScreen(
  inks: Separation,
  { separator, arena, request }: Pick<OutputContext, 'separator' | 'arena' | 'request'>,
): Promise<Raster> {
  const joined = await reducedInks(inks, inks, arena);
  return separator.softProof(joined, { paperWhite: request.page.spec.proofPaperWhite }, arena);
}

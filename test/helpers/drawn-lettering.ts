import sharp from 'sharp';
import type { Raster } from '../../pipeline/model/raster.js';
import { seeded } from './rasters.js';

/** Balloons and text for pages of 825 x 1260 px at 300 ppi, drawn at 600. */

export const letteringPx = { width: 1650, height: 2520 };

/** A balloon by its middle and its half axes, in pixels at 600 ppi. */
interface Balloon {
  readonly x: number;
  readonly y: number;
  readonly across: number;
  readonly down: number;
}

/** How lettering lies on its page: about the middle of the page. */
export interface LetteringLaid {
  /** Pixels at 600 ppi. */
  readonly dx?: number;
  readonly dy?: number;
  /** Clockwise. */
  readonly degrees?: number;
}

/** What of the lettering is in a picture. */
export type LetteringShows = 'balloons' | 'text' | 'both' | 'captions';

/** Draws lettering: transparent, or on white paper. */
export async function drawLettering(
  seed: number,
  shows: LetteringShows,
  { dx = 0, dy = 0, degrees = 0 }: LetteringLaid = {},
  onPaper = false,
): Promise<Raster> {
  const { width, height } = letteringPx;
  const random = seeded(seed);
  const balloons = Array.from({ length: 6 }, () => ({
    x: 200 + random() * 1250,
    y: 200 + random() * 2100,
    across: 110 + random() * 60,
    down: 70 + random() * 40,
  }));
  const body = shows === 'captions' ? captions() : balloons.map((one, at) => drawn(one, at, shows)).join('');
  const laid = `translate(${width / 2 + dx},${height / 2 + dy}) rotate(${degrees}) translate(${-width / 2},${-height / 2})`;
  const paper = onPaper ? `<rect width="${width}" height="${height}" fill="white"/>` : '';
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}">${paper}<g transform="${laid}">${body}</g></svg>`;
  const picture = sharp(Buffer.from(svg));
  const data = await (onPaper ? picture.removeAlpha() : picture.ensureAlpha()).raw().toBuffer();
  return { width, height, model: 'rgb', alpha: !onPaper, data: new Uint8Array(data) };
}

function drawn(balloon: Balloon, seed: number, shows: LetteringShows): string {
  const outline = shows === 'text' ? '' : outlineOf(balloon);
  return shows === 'balloons' ? outline : outline + textOf(balloon, seed);
}

/** A balloon with its tail. */
function outlineOf({ x, y, across, down }: Balloon): string {
  const pen = 'fill="white" stroke="black" stroke-width="6"';
  return `<ellipse cx="${x}" cy="${y}" rx="${across}" ry="${down}" ${pen}/><path d="M${x} ${y + down - 4} q 20 60 60 90 q -20 -40 -20 -94" ${pen}/>`;
}

/** Boxes in the corners of panels, each as far from the border as the others. */
function captions(): string {
  const places = [
    [100, 100],
    [120, 900],
    [860, 920],
    [100, 1700],
  ];
  return places
    .map(([x, y], at) => {
      const box = `<rect x="${x}" y="${y}" width="300" height="110" fill="white" stroke="black" stroke-width="5"/>`;
      return box + textOf({ x: x + 150, y: y + 55, across: 160, down: 60 }, at);
    })
    .join('');
}

/** Rows of strokes like letters. */
function textOf({ x, y, across, down }: Balloon, seed: number): string {
  const random = seeded(seed + 1);
  let out = '';
  for (let row = -2; row <= 2; row++) {
    const half = across * 0.72 * Math.sqrt(Math.max(0, 1 - ((row * 26) / down) ** 2));
    for (let at = -half; half >= 20 && at < half - 12; at += 16) {
      if (random() < 0.15) continue;
      const top = y + row * 24 - 8;
      out += `<path d="M${x + at} ${top + 16 * random()} l ${10 * random()} ${-16 * random()} l 4 ${16 * random()} l ${-12 * random()} ${-8 * random()} z" fill="none" stroke="black" stroke-width="3"/>`;
    }
  }
  return out;
}

/** A scan of line, white paper with black ink, and balloons drawn on it; all at 600 ppi. */
export function withBalloons(line: Raster, balloons: Raster | undefined): Raster {
  if (balloons === undefined) return line;
  const data = line.data.map((paper, at) => {
    const cover = balloons.data[4 * at + 3] / 255;
    return Math.round(paper * (1 - cover) + balloons.data[4 * at] * cover);
  });
  return { ...line, data };
}

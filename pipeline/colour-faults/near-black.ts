import { mmToPx } from '../../config/units.js';
import { PlaceGrid } from '../model/place-grid.js';
import type { MeasuredBox } from '../model/places.js';
import { channelsOf, type Plate, type Raster } from '../model/raster.js';

/** Flat areas and line in a colour that is almost black, on a page that has true black as well. */
export interface NearBlack {
  /** Share of the page in such colours, percent. */
  readonly percent: number;
  /** The colour of most of it, as painted, channels of 0 to 255. */
  readonly colour: readonly number[];
  /** Where it is, the largest first. */
  readonly boxes: readonly MeasuredBox[];
}

/** Own choice: what is darker than the first is black to any eye, what is lighter than the last, or has so much hue, is a colour. */
const blackLevel = 5;
const nearBlackLevel = 36;
const mostChroma = 12;

/** A page with less true black than this, in percent, may be meant to have none. Own choice. */
const leastBlackPercent = 0.5;

/** A colour on less than this, in percent of the page, is no flat: paint has hundreds of such. Own choice. */
const leastTonePercent = 0.1;

/** A fill stands alone among its like: paint and photographs have as much of each tone beside it. Own choice. */
const besideLevels = 3;
const mostBeside = 0.25;

/** Cells an inch in which a page is asked, as for the gamut. */
const cellsPerInch = 60;
/** Side of the squares that places are gathered in. Own choice. */
const squareMm = 8;

/**
 * Looks for near-black in one pixel of each cell: flat, so that the shadows of paint and of photographs are left alone, and many times
 * the same.
 * @param raster as painted, or the colour beneath the line
 * @param coverage share of each pixel that line covers: true black
 * @returns undefined where there is none, or no true black beside it
 */
export function measureNearBlack(
  { raster, coverage }: { readonly raster: Raster; readonly coverage: Plate | undefined },
  ppi: number,
): NearBlack | undefined {
  if (raster.model === 'cmyk') return undefined;
  const step = Math.max(1, Math.round(ppi / cellsPerInch));
  const { width, height } = raster;
  const look = toner(raster);
  const flats = new Map<number, number[]>();
  const all = new Map<number, number>();
  let [cells, black] = [0, 0];
  for (let y = Math.max(1, step >> 1); y < height - 1; y += step) {
    for (let x = Math.max(1, step >> 1), i = y * width + x; x < width - 1; x += step, i += step, cells++) {
      const covered = coverage === undefined ? 0 : coverage.data[i];
      const tone = covered === 0 ? look.toneAt(i) : covered === 255 ? 0 : undefined;
      if (tone === undefined) continue;
      if (tone === 0) {
        black++;
        continue;
      }
      all.set(tone, (all.get(tone) ?? 0) + 1);
      if (look.isFlat(i)) gather(flats, tone, i);
    }
  }
  const least = (leastTonePercent * cells) / 100;
  const fills = [...flats].filter(([tone, own]) => own.length >= least && isAlone(tone, own.length, all));
  if (fills.length === 0 || black * 100 < leastBlackPercent * cells) return undefined;
  return summedUp(fills, cells, raster, ppi);
}

/** Whether hardly anything on the page is nearly of a tone. */
function isAlone(tone: number, own: number, all: ReadonlyMap<number, number>): boolean {
  let beside = -own;
  for (const [other, count] of all) {
    const isNear = [16, 8, 0].every(
      (shift) => Math.abs(((tone >> shift) & 255) - ((other >> shift) & 255)) <= besideLevels,
    );
    if (isNear) beside += count;
  }
  return beside <= own * mostBeside;
}

function summedUp(flats: [number, number[]][], cells: number, page: Raster, ppi: number): NearBlack {
  flats.sort((a, b) => b[1].length - a[1].length || a[0] - b[0]);
  const grid = new PlaceGrid(page, mmToPx(squareMm, ppi));
  let count = 0;
  for (const [, all] of flats) {
    count += all.length;
    for (const i of all) grid.add(i % page.width, Math.floor(i / page.width), 1);
  }
  const [[tone]] = flats;
  const colour = page.model === 'grey' ? [tone & 255] : [tone >> 16, (tone >> 8) & 255, tone & 255];
  return { percent: (count * 100) / cells, colour, boxes: grid.boxes(2) };
}

function gather(tones: Map<number, number[]>, tone: number, i: number): void {
  const known = tones.get(tone);
  if (known === undefined) tones.set(tone, [i]);
  else known.push(i);
}

/** Tells the near-black of a pixel as one number, 0 for true black and undefined for all else, and whether it goes on at all sides. */
function toner(raster: Raster) {
  const { data, width } = raster;
  const channels = channelsOf(raster);
  const shift = data instanceof Uint8Array ? 0 : 8;
  const [g, b] = raster.model === 'rgb' ? [1, 2] : [0, 0];
  const toneAt = (i: number): number | undefined => {
    const at = i * channels;
    const [red, green, blue] = [data[at] >> shift, data[at + g] >> shift, data[at + b] >> shift];
    const most = Math.max(red, green, blue);
    if (most > nearBlackLevel) return undefined;
    if (most <= blackLevel) return 0;
    if (most - Math.min(red, green, blue) > mostChroma) return undefined;
    return (red << 16) | (green << 8) | blue;
  };
  const isFlat = (i: number): boolean => {
    const tone = toneAt(i);
    return [i - 1, i + 1, i - width, i + width].every((beside) => toneAt(beside) === tone);
  };
  return { toneAt, isFlat };
}

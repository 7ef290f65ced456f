import type { HeatMap } from '../model/places.js';
import type { Raster } from '../model/raster.js';
import { drawOver } from '../sheets/draw-over.js';
import { box, canvasOf, fill, ground, ink, place, text } from '../sheets/drawing.js';
import { type MadeFile, type OutputContext, picture } from './product.js';

const marginPx = 24;
const headPx = 58;
const typePx = 15;
const samplePx = 18;
const columnPx = 190;

/**
 * Colours of the shades, from just out of gamut on: apart from each other also where red and green look alike. A shade begins at so
 * many times the limit.
 */
const shades = [
  { times: 1, rgb: [255, 212, 0] },
  { times: 2, rgb: [240, 110, 0] },
  { times: 4, rgb: [130, 0, 110] },
] as const;

/** How much of the page is left to see: as grey, light. */
const pageShare = 0.35;

/** The page in light grey, and over it what the press cannot print as it was painted; nothing for pages of which that is not told. */
export async function outOfGamut(context: OutputContext): Promise<MadeFile[]> {
  const { request, inks, findings, arena } = context;
  const { gamut } = inks;
  if (gamut === undefined || !findings.some(({ code }) => code === 'out-of-gamut')) return [];
  const { spec } = request.page;
  const limitDe = spec.checks.outOfGamutDe;
  const page = shaded(await context.softProof(), gamut, limitDe);
  const least = 2 * marginPx + shades.length * columnPx;
  const width = Math.max(page.width + 2 * marginPx, least);
  const canvas = canvasOf(width, headPx + page.height + marginPx, ground.proof, arena);
  place(canvas, page, marginPx, headPx);
  const title = `${request.baseName}: colours out of gamut, by CIEDE2000. Not for print.`;
  const shapes = [text(title, marginPx, 22, { sizePx: typePx, fill: ink.strong })];
  for (const [n, { times, rgb }] of shades.entries()) {
    const left = marginPx + n * columnPx;
    const next = shades[n + 1];
    const words = next === undefined ? 'and more' : `to ${limitDe * next.times}`;
    shapes.push(fill(box(left, headPx - 10 - samplePx, samplePx, samplePx), `rgb(${rgb.join(',')})`));
    shapes.push(
      text(`${limitDe * times} ${words}`, left + samplePx + 8, headPx - 14, {
        sizePx: typePx,
        fill: ink.plain,
      }),
    );
  }
  await drawOver(canvas, shapes, arena);
  return [picture('gamut', canvas, spec.proofPpi)];
}

/** Grey as the sum of red, twice green, and blue: four times a level. */
const mostSum = 4 * 255;

/** What a page's greys become under each shade, and without one at first: looked up, as a page has a million pixels. */
const lights = [undefined, ...shades].map((shade) =>
  [0, 1, 2].map((c) =>
    Uint8Array.from({ length: mostSum + 1 }, (_, sum) =>
      shade === undefined ? 255 - (255 - sum / 4) * pageShare : (shade.rgb[c] * 3 + sum / 4) / 4,
    ),
  ),
);

/** A page in light grey, with the shades of a map over it. */
function shaded(page: Raster, map: HeatMap, limitDe: number): Raster {
  const { width, height } = page;
  const data = new Uint8Array(width * height * 3);
  const columnAt = Int32Array.from({ length: width }, (_, x) => Math.floor(((x + 0.5) * map.width) / width));
  const levels = shades.map(({ times }) => (limitDe * times) / map.perStep);
  const lightsOf = Array.from(
    { length: 256 },
    (_, missed) => lights[levels.filter((level) => missed > level).length],
  );
  for (let y = 0, at = 0; y < height; y++) {
    const row = Math.floor(((y + 0.5) * map.height) / height) * map.width;
    for (let x = 0; x < width; x++, at += 3) {
      const [red, green, blue] = lightsOf[map.values[row + columnAt[x]]];
      const sum = page.data[at] + 2 * page.data[at + 1] + page.data[at + 2];
      data[at] = red[sum];
      data[at + 1] = green[sum];
      data[at + 2] = blue[sum];
    }
  }
  return { width, height, model: 'rgb', alpha: false, data };
}

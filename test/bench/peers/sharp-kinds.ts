import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { composited, type Pixels, pixelsOf } from './sharp-layers.js';
import { planesOf, writeOutputs } from './sharp-outputs.js';

/**
 * Pages of layers, flat pages and pages with lettering apart as a competent user of sharp would script them; otherwise as
 * sharp-page.ts. Layers are composited as they are and reduced then: reduced first, edges of layers would come out
 * otherwise than they were painted.
 * usage: node sharp-kinds.js KIND PROFILE.icc OUT_FOLDER WIDTH HEIGHT PPI PROOF_WIDTH AT_ONCE FILES_A_PAGE FILE ...
 * A layered page's files are PAGE.ora RECIPE.txt, a flat one's PAGE.tif, a lettered one's COLOUR.tif LINE.tif LETTERING.png.
 */
const [kind, profile, out, ...rest] = process.argv.slice(2);
const [width, height, ppi, proofWidth, atOnce, filesAPage] = rest.slice(0, 6).map(Number);
const files = rest.slice(6);
sharp.cache(false);
const exact = { fit: 'fill', kernel: 'lanczos3' } as const;

/** A page at print size, as sRGB, and its line as it was drawn, 0 ink. */
interface Page {
  readonly without: Pixels;
  /** With its line, where light above the line may colour it. */
  readonly shown: Pixels | undefined;
  readonly line: Pixels;
}

async function layered([archive, recipe]: readonly string[]): Promise<Page> {
  const { shown, without, line } = await composited(archive, recipe);
  return { shown: await reduced(shown), without: await reduced(without), line };
}

/** Of 255: as dark is ink on a flat page; as CIE L* 15. */
const inkLevel = 38;

/** The line is what is nearly black; what lies beneath it is not filled: the inks of black stand there. */
async function flat([page]: readonly string[]): Promise<Page> {
  const open = () => sharp(page, { ignoreIcc: true });
  const line = await pixelsOf(open().greyscale().threshold(inkLevel).toColourspace('b-w'));
  return { without: await pixelsOf(open().resize(width, height, exact)), shown: undefined, line };
}

/** Balloons go to the colour as white, letters and rims to the line. */
async function lettered([colour, line, lettering]: readonly string[]): Promise<Page> {
  const whitened = sharp(lettering, { ignoreIcc: true }).resize(width, height, exact);
  const white = await pixelsOf(whitened.linear([0, 0, 0, 1], [255, 255, 255, 0]));
  const page = sharp(colour, { ignoreIcc: true }).resize(width, height, exact);
  const laid = page.composite([{ input: white.data, raw: white.raw }]).removeAlpha();
  const over = sharp(line)
    .composite([{ input: lettering }])
    .removeAlpha()
    .toColourspace('b-w');
  return { without: await pixelsOf(laid), shown: undefined, line: await pixelsOf(over) };
}

function reduced({ data, raw }: Pixels): Promise<Pixels> {
  return pixelsOf(sharp(data, { raw }).resize(width, height, exact));
}

async function separated({ data, raw }: Pixels): Promise<Buffer[]> {
  return planesOf(await sharp(data, { raw }).withIccProfile(profile).raw().toBuffer());
}

/** Of 255: where a page with its line is lighter, its line is not black there but has light above it. */
const lit = 64;

/** Black from the line over the inks of the page without it; where the line has light above it, the inks that it shows. */
async function compositeOf(plates: readonly Buffer[], { shown, line }: Page): Promise<Buffer[]> {
  const { data: light } = await pixelsOf(
    sharp(line.data, { raw: line.raw }).resize(width, height, exact).toColourspace('b-w'),
  );
  const inks = plates.map((plane) => Buffer.from(plane));
  const own = shown === undefined ? undefined : { inks: await separated(shown), data: shown.data };
  for (let i = 0, j = 0; i < light.length; i++, j += 3) {
    if (own !== undefined && Math.max(own.data[j], own.data[j + 1], own.data[j + 2]) > lit) {
      for (let band = 0; band < 4; band++) inks[band][i] = own.inks[band][i];
    } else {
      inks[3][i] = 255 - Math.round(((255 - plates[3][i]) * light[i]) / 255);
    }
  }
  return inks;
}

async function takePages(): Promise<void> {
  while (files.length > 0) {
    const own = files.splice(0, filesAPage);
    const folder = join(out, /_p(\d+)/.exec(own[0])?.[1] ?? 'page');
    await mkdir(folder, { recursive: true });
    const page = await (kind === 'flat' ? flat(own) : kind === 'lettering' ? lettered(own) : layered(own));
    const plates = await separated(page.without);
    const composite = await compositeOf(plates, page);
    const line = sharp(page.line.data, { raw: page.line.raw });
    await writeOutputs(folder, { width, height, plates, composite }, line, { ppi, proofWidth });
  }
}
await Promise.all(Array.from({ length: atOnce }, takePages));

import type { PageBox } from '../../config/print-spec.js';
import type { PageArena } from '../kernels/page-arena.js';
import { inkAmount } from '../line/ink-amount.js';
import { bothLines } from '../line/masks.js';
import { channelsOf, maxOf, type Plate, type Raster } from '../model/raster.js';
import type { FlatPicture } from '../model/working-page.js';
import { sameSize } from './painted-parts.js';
import { notOpaquePercent, ontoPaper } from './paper.js';

/** A CMYK colour part with the lettering taken into it. */
export interface LetteredInks {
  /** The colour's own numbers, with paper where balloons lie. */
  readonly colour: Raster;
  /** Line and black lettering together, 0 to 255. */
  readonly line: Plate;
}

/**
 * Lays black and white lettering over CMYK colour without converting anything: its black goes to the line, its white
 * takes the colour away. Under the black the colour stays, so that a plate out of register shows no paper.
 * @returns undefined where the parts do not have one shape
 */
export async function letterInks(
  colour: FlatPicture,
  line: FlatPicture | undefined,
  lettering: FlatPicture,
  spec: PageBox,
  arena: PageArena,
): Promise<LetteredInks | undefined> {
  const white = await sameSize(whiteAmount(lettering.raster, arena), lettering, colour, spec);
  const finest = line ?? lettering;
  const letters = await sameSize(inkAmount(lettering.raster, arena), lettering, finest, spec);
  if (white === undefined || letters === undefined) return undefined;
  const paper = ontoPaper(colour.raster);
  return {
    colour: { ...paper, data: takenAway(paper.data, white.data) },
    line: line === undefined ? letters : await inked(line, letters, lettering, spec, arena),
  };
}

/** Line under a balloon is hidden by it; black lettering comes on top. */
async function inked(
  line: FlatPicture,
  letters: Plate,
  lettering: FlatPicture,
  spec: PageBox,
  arena: PageArena,
): Promise<Plate> {
  const white = await sameSize(whiteAmount(lettering.raster, arena), lettering, line, spec);
  const amount = inkAmount(line.raster, arena);
  const data = new Uint8Array(amount.data.length);
  for (let i = 0; i < data.length; i++) {
    data[i] = Math.round((amount.data[i] * (255 - (white?.data[i] ?? 0))) / 255);
  }
  return bothLines({ ...amount, data }, letters);
}

/** How far each pixel of the lettering covers with white, 0 to 255; white paper all over covers nothing. */
function whiteAmount(picture: Raster, arena: PageArena): Plate {
  const { width, height, data } = picture;
  const white = new Uint8Array(width * height);
  if (notOpaquePercent(picture) === 0) return { width, height, data: white };
  const ink = inkAmount(picture, arena).data;
  const channels = channelsOf(picture);
  const shift = maxOf(picture) === 255 ? 0 : 8;
  for (let i = 0, j = channels - 1; i < white.length; i++, j += channels)
    white[i] = (data[j] >> shift) - ink[i];
  return { width, height, data: white };
}

function takenAway(inks: Uint8Array | Uint16Array, white: Uint8Array): Uint8Array | Uint16Array {
  const out = inks.slice();
  for (let i = 0, j = 0; i < white.length; i++, j += 4) {
    if (white[i] === 0) continue;
    for (let ink = 0; ink < 4; ink++) out[j + ink] = Math.round((inks[j + ink] * (255 - white[i])) / 255);
  }
  return out;
}

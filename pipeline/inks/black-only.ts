import {
  type ColourSpace,
  exactTransform,
  type LoadedProfile,
  tableTransform,
} from '../../config/press/colour-engine.js';
import { type ColourModel, gathered, type Raster } from '../model/raster.js';
import { type BlackRamp, blackRamp, compensatedLightness } from './black-ramp.js';

/** A picture that prints with black ink alone: as light as it was, and nothing of its colour. */
export interface BlackOrder {
  readonly source: ColourSpace;
  readonly model: ColourModel;
  readonly press: LoadedProfile;
  /** Whether the darkest of the picture is laid on solid black ink; without, what is darker than that prints solid. */
  readonly isCompensated: boolean;
}

/** @returns the black ink, 0 to 1, for a lightness, paper 100 */
export function blackFor(order: BlackOrder, ramp: BlackRamp = blackRamp(order.press)): (l: number) => number {
  // Black ink alone of another press is black as well: it becomes solid whatever the intent.
  if (!order.isCompensated && order.model !== 'cmyk') return (l) => ramp.inkFor(l);
  const darkest = lightnessOf(order)(blackOf[order.model]);
  return (l) => ramp.inkFor(compensatedLightness(l, darkest, ramp.darkest));
}

/** What each model has for black. */
const blackOf = { grey: [0], rgb: [0, 0, 0], cmyk: [0, 0, 0, 1] } as const;

/** How light a colour of the picture is, relative colorimetric: 0 to 100, paper 100. */
export function lightnessOf({ source, model }: BlackOrder): (colour: readonly number[]) => number {
  const exact = exactTransform({ ...toLab, from: source });
  const isEngineOwn = source === 'srgb' && model === 'grey';
  return ([first = 0, ...rest]) => {
    const [l = 0] = exact(isEngineOwn ? [first, first, first] : [first, ...rest]);
    return l * 100;
  };
}

const toLab = { to: 'lab', intent: 'relative', blackPointCompensation: false } as const;

/**
 * Nodes of a table of rgb or cmyk to four inks, of which black alone prints.
 * @param grid nodes along each channel
 */
export function blackNodes(order: BlackOrder, grid: number): Float64Array {
  const { nodes: lab } = tableTransform({ ...toLab, from: order.source }, grid, 8);
  const inkFor = blackFor(order);
  const nodes = new Float64Array((lab.length / 3) * 4);
  for (let from = 0, to = 3; from < lab.length; from += 3, to += 4) nodes[to] = inkFor(lab[from] * 100);
  return nodes;
}

/** Of the pixels of a page so many are asked whether they are coloured. */
const askedPixels = 20_000;

/** More colour than this, as C* of CIELAB, is no tint of paper or of grey that came through JPEG. Own choice. */
const colouredFrom = 12;

/** Nodes along each channel for telling colour from grey. */
const labGrid = { rgb: 17, cmyk: 9 } as const;

/** Which share of a picture is painted in colour, in percent of its area, asked at pixels all over it. Grey never is. */
export function colouredShare(source: ColourSpace, raster: Raster): number {
  const { model, width, height } = raster;
  if (model === 'grey') return 0;
  const table = tableTransform({ ...toLab, from: source }, labGrid[model], 16);
  const pixels = spreadOver(width * height);
  const lab = new Uint16Array(pixels.length * 3);
  table.run(wideSamples(gathered(raster, pixels)), pixels.length, lab);
  let coloured = 0;
  for (let at = 0; at < lab.length; at += 3) {
    if (Math.hypot(chromaOf(lab[at + 1]), chromaOf(lab[at + 2])) > colouredFrom) coloured++;
  }
  return (coloured * 100) / Math.max(1, pixels.length);
}

/** a* or b* from its 16 bit: 0 to 1 stands for -128 to 127. */
function chromaOf(encoded: number): number {
  return (encoded * 255) / 65535 - 128;
}

/** Pixels all over a page, in no step with anything on it: multiples of the golden section. */
function spreadOver(total: number): Int32Array {
  const count = Math.min(total, askedPixels);
  if (count === total) return Int32Array.from({ length: total }, (_, i) => i);
  const golden = (Math.sqrt(5) - 1) / 2;
  return Int32Array.from({ length: count }, (_, i) => Math.floor(((i * golden) % 1) * total));
}

function wideSamples({ data }: Raster): Uint16Array {
  return data instanceof Uint16Array ? data : Uint16Array.from(data, (sample) => sample * 257);
}

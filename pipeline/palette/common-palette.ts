import type { CommonColour, FineColour, OkLab, PagePalette } from '../model/palette.js';
import type { StripColour } from '../model/sheet-request.js';
import { type Cluster, lossOf, mergedTo } from './fine-colours.js';
import { chromaOf, hexOf, oklabDistance } from './oklab.js';

/** The few colours that pages come down to: fine colours merged, the pair first that is least missed. */

/** A palette as people read one has so many colours, or fewer where there are no more. Own choice. */
const mostCommon = 8;
const leastCommon = 5;

/** Down to `leastCommon`, colours nearer than this are one: clear side by side, yet of one name. Own choice. */
const oneOfCommon = 0.06;

/** For distances: more colours change them by less than they mean. Own choice. */
export const mostCompared = 12;

/** Paper, or a gutter without colour: lighter and greyer than anybody paints snow. Own choice. */
const paperLightness = 0.985;
const paperChroma = 0.008;

/** Whether a colour is bare paper. */
function isPaper(oklab: OkLab): boolean {
  return oklab[0] > paperLightness && chromaOf(oklab) < paperChroma;
}

/** A colour with its weight, in any measure. */
export interface WeighedColour {
  readonly oklab: OkLab;
  readonly weight: number;
}

/** The colours of a page without bare paper, which gutters have and no scene is told by; of a page that has nothing else, with it. */
export function inkedColours({ colours }: PagePalette): readonly WeighedColour[] {
  const inked = colours.filter(({ oklab }) => !isPaper(oklab));
  return (inked.length === 0 ? colours : inked).map(weighed);
}

function weighed({ oklab, sharePercent }: FineColour): WeighedColour {
  return { oklab, weight: sharePercent };
}

/** Colours of several pages as if they were one: each page weighs as much as it says, whatever its own shares come to. */
export function pooled(
  pages: readonly { readonly colours: readonly WeighedColour[]; readonly weight: number }[],
): WeighedColour[] {
  return pages.flatMap(({ colours, weight }) => {
    const whole = sumOf(colours);
    return colours.map((each) => ({ oklab: each.oklab, weight: (each.weight * weight) / whole }));
  });
}

function sumOf(colours: readonly WeighedColour[]): number {
  return colours.reduce((sum, { weight }) => sum + weight, 0);
}

/** Few enough colours to compare. @returns the largest first */
export function reducedTo(most: number, colours: readonly WeighedColour[]): readonly WeighedColour[] {
  if (colours.length <= most) return colours;
  const few = colours.length <= mostMerged ? colours : nearlyAlike(colours);
  const merged = mergedTo(most, few.map(asCluster)).sort((one, other) => other.area - one.area);
  return merged.map(({ oklab, area }) => ({ oklab: [oklab[0], oklab[1], oklab[2]], weight: area }));
}

/** Merging takes time by the square of what is merged: more colours than this are taken together first where they are nearly alike. */
const mostMerged = 400;
const alikeSide = 0.03;

function nearlyAlike(colours: readonly WeighedColour[]): readonly WeighedColour[] {
  const cells = new Map<string, { readonly sums: [number, number, number]; weight: number }>();
  for (const { oklab, weight } of colours) {
    const code = oklab.map((value) => Math.floor(value / alikeSide)).join();
    const cell = cells.get(code) ?? { sums: [0, 0, 0], weight: 0 };
    for (const [c, value] of oklab.entries()) cell.sums[c] += value * weight;
    cell.weight += weight;
    cells.set(code, cell);
  }
  return [...cells.values()].map(({ sums: [l, a, b], weight }) => ({
    oklab: [l / weight, a / weight, b / weight],
    weight,
  }));
}

function asCluster({ oklab, weight }: WeighedColour): Cluster {
  return { oklab: Float64Array.from(oklab), area: weight, cell: 0, run: 0 };
}

/** The palette of a page or scene: 5 to 8 colours, the largest first; fewer where it has no more. */
export function commonPalette(colours: readonly WeighedColour[]): readonly CommonColour[] {
  if (colours.length === 0) return [];
  let few = reducedTo(mostCommon, colours);
  while (few.length > leastCommon && nearestTwo(few) < oneOfCommon) few = reducedTo(few.length - 1, few);
  const whole = sumOf(few);
  const common = few.map(({ oklab, weight }) => ({
    oklab: [rounded(oklab[0]), rounded(oklab[1]), rounded(oklab[2])] as const,
    sharePercent: rounded((weight * 100) / whole, 2),
  }));
  return common.sort((one, other) => other.sharePercent - one.sharePercent);
}

/** A palette as it is drawn. */
export function stripOf(palette: readonly CommonColour[]): readonly StripColour[] {
  return palette.map(({ oklab, sharePercent }) => ({ colour: hexOf(oklab), sharePercent }));
}

/** How far the two are apart that are merged next. */
function nearestTwo(colours: readonly WeighedColour[]): number {
  let [least, apart] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const clusters = colours.map(asCluster);
  for (let one = 0; one < clusters.length; one++) {
    for (let other = 0; other < one; other++) {
      const loss = lossOf(clusters[one], clusters[other]);
      if (loss >= least) continue;
      least = loss;
      apart = oklabDistance(colours[one].oklab, colours[other].oklab);
    }
  }
  return apart;
}

/** Rounded to what is told, without a negative zero, which JSON writes as another number. */
export function rounded(value: number, digits = 4): number {
  return Number(value.toFixed(digits)) + 0;
}

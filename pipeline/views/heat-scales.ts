import type { HeatMap } from '../model/places.js';

/**
 * Which figure has which colour where a heat picture lies over a page. Colours run from light to dark, so that they keep their order for
 * every eye and in grey; beneath the first step the page shows as it is. Steps and colours are our own choice.
 */

/** From this figure on, up to the next step. */
export interface HeatStep {
  /** In the scale's unit. */
  readonly from: number;
  readonly rgb: readonly [red: number, green: number, blue: number];
}

/** The steps of one kind of figure. */
export interface HeatScale {
  /** As people read it. */
  readonly title: string;
  /** Behind each figure. */
  readonly unit: string;
  /** The lowest first. */
  readonly steps: readonly HeatStep[];
}

/** How much of the page a heat picture hides, 0 to 255: enough to read its colour on any art. Own choice. */
export const heatOpacity = 205;

const colours = [
  [255, 224, 102],
  [255, 170, 51],
  [236, 104, 47],
  [190, 45, 75],
  [120, 20, 105],
  [50, 8, 75],
] as const;

function stepsFrom(...from: readonly number[]): HeatStep[] {
  return from.map((figure, step) => ({ from: figure, rgb: colours[step] }));
}

/** The heat pictures of a page, in the order in which a strip has them. */
export const heatScales = {
  'ink-coverage': {
    title: 'C+M+Y+K, mean of an area',
    unit: '%',
    steps: stepsFrom(160, 200, 240, 280, 320, 360),
  },
  'out-of-gamut': {
    title: 'how far the press is from the colour, CIEDE2000',
    unit: '',
    steps: stepsFrom(2, 4, 6, 9, 13, 18),
  },
  fidelity: {
    title: 'how far print is from paint, CIEDE2000',
    unit: '',
    steps: stepsFrom(2, 3, 5, 8, 12, 16),
  },
} as const satisfies Readonly<Record<string, HeatScale>>;

/** One of the heat pictures. */
export type HeatRole = keyof typeof heatScales;

/** For each value of a map the step that it is in: 0 beneath the first, 1 the first, and so on. */
export function stepOfValues({ steps }: HeatScale, { perStep }: Pick<HeatMap, 'perStep'>): Uint8Array {
  return Uint8Array.from(
    { length: 256 },
    (_, value) => steps.filter(({ from }) => value * perStep >= from).length,
  );
}

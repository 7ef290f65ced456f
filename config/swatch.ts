/** Colours that keep through an issue: a character's skin, coat, hair. */

/** Red, green, blue of a screen (sRGB), whole levels from 0 to 255; or L, a, b of CIE L*a*b* relative to D50. */
export type SwatchColour =
  | { readonly kind: 'srgb'; readonly srgb: readonly [red: number, green: number, blue: number] }
  | { readonly kind: 'lab'; readonly lab: readonly [l: number, a: number, b: number] };

/** A colour that job.yaml names. */
export interface Swatch {
  /** What it is of, such as `coat`; with its character unique in the issue, in any case. One line of 1 to 60 characters. */
  readonly name: string;
  /** Whose it is; undefined for nobody's. */
  readonly character: string | undefined;
  readonly colour: SwatchColour;
  /** How far it may drift on a light page before that is told, CIEDE2000: 0.5 to 30, default 5. */
  readonly toleranceDe: number;
}

/** As people call it: `Mara, coat`, or the name alone. */
export function swatchTitle({ name, character }: Pick<Swatch, 'name' | 'character'>): string {
  return character === undefined ? name : `${character}, ${name}`;
}

/** A colour as `#rrggbb`. */
export type Hex = string;

/** Red, green and blue, 0 to 255. */
export type Rgb = readonly [number, number, number];

export function rgbOf(hex: Hex): Rgb {
  const value = Number.parseInt(hex.slice(1), 16);
  return [(value >> 16) & 255, (value >> 8) & 255, value & 255];
}

/** One number for a colour, so that a run of pixels can be filled at once. */
export function packed(hex: Hex): number {
  return Number.parseInt(hex.slice(1), 16);
}

/** A colour on the way from one to another; 0 is the first, 1 the second. */
export function between(from: Hex, to: Hex, t: number): Hex {
  const a = rgbOf(from);
  const b = rgbOf(to);
  const value = a.reduce((sum, v, i) => sum * 256 + Math.round(v + (b[i] - v) * t), 0);
  return `#${value.toString(16).padStart(6, '0')}`;
}

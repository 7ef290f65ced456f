import type { OkLab } from '../model/palette.js';

/**
 * Screen colours as OKLab, in which equal distances look about equally large, and hue stays when lightness changes. Matrices and rows
 * of proof: B. Ottosson, 'A perceptual color space for image processing', 2020 (bottosson.github.io/posts/oklab).
 */

/** A colour of a screen (sRGB): red, green, blue, 0 to 255. */
export type Rgb = readonly [red: number, green: number, blue: number];

/** Amount of light, 0 to 1, of each level of sRGB; IEC 61966-2-1. */
const lightOfLevel = Float64Array.from({ length: 256 }, (_, level) => {
  const share = level / 255;
  return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
});

/** How much light a level of sRGB stands for. @param level 0 to 255, whole @returns 0 to 1 */
export function lightOf(level: number): number {
  return lightOfLevel[level];
}

/** The level of sRGB for an amount of light. @returns 0 to 255, not rounded; light that no screen has is cut off */
export function levelOf(light: number): number {
  const share = Math.min(1, Math.max(0, light));
  return 255 * (share <= 0.0031308 ? share * 12.92 : 1.055 * share ** (1 / 2.4) - 0.055);
}

/** OKLab of a colour of the screen. @param rgb whole levels, 0 to 255 */
export function oklabOf([red, green, blue]: Rgb): OkLab {
  return oklabOfLight(lightOfLevel[red], lightOfLevel[green], lightOfLevel[blue]);
}

/** OKLab of light in the three colours of sRGB, 0 to 1 each. */
export function oklabOfLight(red: number, green: number, blue: number): OkLab {
  const l = Math.cbrt(0.4122214708 * red + 0.5363325363 * green + 0.0514459929 * blue);
  const m = Math.cbrt(0.2119034982 * red + 0.6806995451 * green + 0.1073969566 * blue);
  const s = Math.cbrt(0.0883024619 * red + 0.2817188376 * green + 0.6299787005 * blue);
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ];
}

/** Light in the three colours of sRGB; beyond 0 to 1 where no screen shows the colour. */
export function lightOfOklab([lightness, a, b]: OkLab): readonly [number, number, number] {
  const l = (lightness + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (lightness - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const s = (lightness - 0.0894841775 * a - 1.291485548 * b) ** 3;
  return [
    4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s,
    -1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s,
    -0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s,
  ];
}

/** The nearest colour of a screen, in whole levels. What no screen shows is cut off, channel by channel. */
export function rgbOf(oklab: OkLab): Rgb {
  const [red, green, blue] = lightOfOklab(oklab);
  return [Math.round(levelOf(red)), Math.round(levelOf(green)), Math.round(levelOf(blue))];
}

/** A colour of a screen as `#rrggbb`. */
export function hexOfRgb(rgb: Rgb): string {
  return `#${rgb.map((level) => level.toString(16).padStart(2, '0')).join('')}`;
}

/** A colour as `#rrggbb`, sRGB. */
export function hexOf(oklab: OkLab): string {
  return hexOfRgb(rgbOf(oklab));
}

/** Distance of two colours in OKLab: some 0.02 is just seen side by side, 0.05 is clear. */
export function oklabDistance(one: OkLab, two: OkLab): number {
  return Math.hypot(one[0] - two[0], one[1] - two[1], one[2] - two[2]);
}

/** How far a colour is from grey: 0 to some 0.32 on a screen. */
export function chromaOf([, a, b]: OkLab): number {
  return Math.hypot(a, b);
}

/** Less chroma than this has no hue that means anything. */
const leastHuedChroma = 1e-4;

/** Hue angle in degrees, 0 to 360: red at 29, yellow 110, green 143, blue 264; 0 for grey. */
export function hueOf(oklab: OkLab): number {
  if (chromaOf(oklab) < leastHuedChroma) return 0;
  const degrees = (Math.atan2(oklab[2], oklab[1]) * 180) / Math.PI;
  return degrees < 0 ? degrees + 360 : degrees;
}

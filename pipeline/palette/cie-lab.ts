import type { Lab } from '../../config/press/ciede2000.js';
import type { OkLab } from '../model/palette.js';
import { lightOf, lightOfOklab, type Rgb } from './oklab.js';

/**
 * Screen colours as CIE L*a*b* relative to D50, which print is measured in: for CIEDE2000 and for what is written down, without a colour
 * engine to start. Matrix of linear sRGB to XYZ relative to D50 (Bradford): CSS Color 4, its sample code; confirmed in
 * test/reference/srgb-lab.test.ts.
 */

/** Rows X, Y, Z, of light in the three colours of sRGB. */
const xyzOfLight = [
  [0.436065742824811, 0.3851514688337912, 0.14307845442264197],
  [0.22249319175623702, 0.7168870538238823, 0.06061979053616537],
  [0.013923904500943465, 0.09708128566574634, 0.7140993584005155],
] as const;

/** CIE L*a*b*, D50, of a colour of the screen. @param rgb whole levels, 0 to 255 */
export function labOfRgb([red, green, blue]: Rgb): Lab {
  return labOfLight([lightOf(red), lightOf(green), lightOf(blue)]);
}

/** CIE L*a*b*, D50, of a colour in OKLab. */
export function labOfOklab(oklab: OkLab): Lab {
  return labOfLight(lightOfOklab(oklab));
}

/** White is light of every colour, so that it comes to L 100 and a and b of 0. */
function labOfLight(light: readonly [number, number, number]): Lab {
  const [x, y, z] = xyzOfLight.map((row) => {
    const white = row[0] + row[1] + row[2];
    return curved((row[0] * light[0] + row[1] * light[1] + row[2] * light[2]) / white);
  });
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}

/** CIE 15: the cube root, and a straight line where it is darkest. */
function curved(share: number): number {
  return share > 216 / 24389 ? Math.cbrt(share) : ((24389 / 27) * share + 16) / 116;
}

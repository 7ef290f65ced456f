import type { ExactTransform } from '../../config/press/colour-engine.js';

/**
 * What a press makes of its inks, as a table that is fast to ask and knows its own slope: the colour of any mix of
 * cyan, magenta, yellow and black, and how that colour answers to a little more of each ink.
 */
export interface InkModel {
  /**
   * @param ink cyan, magenta, yellow, black from 0 to 1
   * @param lab receives L, a, b
   * @param slope receives dL/dC, dL/dM, dL/dY, dL/dK, da/dC ... (3 x 4), per unit of ink
   */
  look(ink: Float64Array, lab: Float64Array, slope: Float64Array): void;
}

/** Steps along each ink; halving them changes the limited colours of the shipped profiles by less than 0.1 dE00. */
const steps = 16;
const points = steps + 1;

/** Offset of a neighbour along each ink in a table of points^4 x 3, cyan slowest. */
const strides = [points ** 3 * 3, points ** 2 * 3, points * 3, 3] as const;

/**
 * Builds the model from a profile's own table of ink to Lab.
 * @param inkToLab relative colorimetric, exact path, encoded as the engine does (L/100, (a+128)/255, (b+128)/255)
 */
export function inkModel(inkToLab: ExactTransform): InkModel {
  const table = new Float32Array(points ** 4 * 3);
  let at = 0;
  for (let c = 0; c < points; c++) {
    for (let m = 0; m < points; m++) {
      for (let y = 0; y < points; y++) {
        for (let k = 0; k < points; k++) {
          const [l = 0, a = 0, b = 0] = inkToLab([c / steps, m / steps, y / steps, k / steps]);
          table[at++] = l * 100;
          table[at++] = a * 255 - 128;
          table[at++] = b * 255 - 128;
        }
      }
    }
  }
  const [base, part] = [new Int32Array(4), new Float64Array(4)];
  return {
    look(ink, lab, slope) {
      for (let axis = 0; axis < 4; axis++) {
        const place = ink[axis] * steps;
        const cell = Math.min(steps - 1, Math.max(0, Math.floor(place)));
        base[axis] = cell;
        part[axis] = place - cell;
      }
      interpolate(table, base, part, lab, slope);
    },
  };
}

/** Quadrilinear interpolation and its derivative, over the 16 corners of the cell. */
function interpolate(
  table: Float32Array,
  base: Int32Array,
  part: Float64Array,
  lab: Float64Array,
  slope: Float64Array,
): void {
  lab.fill(0);
  slope.fill(0);
  const origin = base[0] * strides[0] + base[1] * strides[1] + base[2] * strides[2] + base[3] * strides[3];
  for (let corner = 0; corner < 16; corner++) {
    const [uc, um, uy, uk] = [corner & 8, corner & 4, corner & 2, corner & 1];
    const wc = uc ? part[0] : 1 - part[0];
    const wm = um ? part[1] : 1 - part[1];
    const wy = uy ? part[2] : 1 - part[2];
    const wk = uk ? part[3] : 1 - part[3];
    const at =
      origin + (uc ? strides[0] : 0) + (um ? strides[1] : 0) + (uy ? strides[2] : 0) + (uk ? strides[3] : 0);
    const weight = wc * wm * wy * wk;
    const sc = (uc ? steps : -steps) * wm * wy * wk;
    const sm = (um ? steps : -steps) * wc * wy * wk;
    const sy = (uy ? steps : -steps) * wc * wm * wk;
    const sk = (uk ? steps : -steps) * wc * wm * wy;
    for (let channel = 0; channel < 3; channel++) {
      const value = table[at + channel];
      lab[channel] += weight * value;
      slope[channel * 4] += sc * value;
      slope[channel * 4 + 1] += sm * value;
      slope[channel * 4 + 2] += sy * value;
      slope[channel * 4 + 3] += sk * value;
    }
  }
}

import { channelsOf, type Raster } from '../model/raster.js';

/** Small grey pictures, and how alike two of them are. */

/** A grey picture of 0 to 255: width x height. */
export interface Greys {
  readonly width: number;
  readonly height: number;
  readonly data: Float32Array;
}

/** A part of a picture in pixels; it may reach past the picture, where its edge goes on. */
export interface GreyBox {
  readonly left: number;
  readonly top: number;
  /** Pixels of the result. */
  readonly columns: number;
  readonly rows: number;
  /** Pixels of the picture across a pixel of the result, and down. */
  readonly stepX: number;
  readonly stepY: number;
}

/** A part of a picture as grey, each pixel the mean of those it stands for; what is transparent shows paper. */
export function greysOf(raster: Raster, box: GreyBox): Greys {
  const { columns, rows, stepX, stepY } = box;
  const at = greyAt(raster);
  const data = new Float32Array(columns * rows);
  for (let row = 0, to = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      let sum = 0;
      for (let n = 0; n < stepX * stepY; n++) {
        const x = box.left + column * stepX + (n % stepX);
        const y = box.top + row * stepY + Math.floor(n / stepX);
        sum += at(clamped(x, raster.width), clamped(y, raster.height));
      }
      data[to++] = sum / (stepX * stepY);
    }
  }
  return { width: columns, height: rows, data };
}

function clamped(at: number, length: number): number {
  return Math.max(0, Math.min(length - 1, at));
}

/** Reads one pixel as grey: the mean of its colours, ink counted as dark. */
function greyAt(raster: Raster): (x: number, y: number) => number {
  const { width, data, model, alpha } = raster;
  const channels = channelsOf(raster);
  const colours = alpha ? channels - 1 : channels;
  const most = data instanceof Uint8Array ? 255 : 65535;
  const to255 = 255 / (most * colours);
  return (x, y) => {
    const from = (y * width + x) * channels;
    let sum = 0;
    for (let c = 0; c < colours; c++) sum += data[from + c];
    const light = model === 'cmyk' ? 255 - sum * to255 : sum * to255;
    return alpha ? 255 - ((255 - light) * data[from + colours]) / most : light;
  };
}

/** Where one picture is laid on another, and which of its columns are part of it. */
export interface Displacement {
  readonly dx: number;
  readonly dy: number;
  /** First column of the other picture that counts, and the one behind the last. */
  readonly from: number;
  readonly to: number;
  /** Only every so many rows are compared. */
  readonly stride: number;
}

/** Fewer pixels than this tell nothing. Our own choice. */
const fewestPixels = 64;

/** Both pictures have to vary by this much, of 255: what is flat is like everything. Our own choice. */
const leastDeviation = 1.5;

/**
 * How alike a picture and another one beneath it are: -1 to 1, the correlation of their greys; 0 where either is flat.
 * @param by the other picture's pixel beneath (x, y) is (x + dx, y + dy)
 */
export function likeness(one: Greys, other: Greys, { dx, dy, from, to, stride }: Displacement): number {
  const first = Math.max(0, from - dx);
  const behind = Math.min(one.width, to - dx);
  const top = Math.max(0, -dy);
  const bottom = Math.min(one.height, other.height - dy);
  const count = Math.max(0, behind - first) * Math.max(0, Math.ceil((bottom - top) / stride));
  if (count < fewestPixels) return 0;
  let [a, b, aa, bb, ab] = [0, 0, 0, 0, 0];
  for (let y = top; y < bottom; y += stride) {
    const oneRow = y * one.width;
    const otherRow = (y + dy) * other.width + dx;
    for (let x = first; x < behind; x++) {
      const p = one.data[oneRow + x];
      const q = other.data[otherRow + x];
      a += p;
      b += q;
      aa += p * p;
      bb += q * q;
      ab += p * q;
    }
  }
  const [varA, varB] = [aa / count - (a / count) ** 2, bb / count - (b / count) ** 2];
  if (Math.min(varA, varB) < leastDeviation ** 2) return 0;
  return (ab / count - (a / count) * (b / count)) / Math.sqrt(varA * varB);
}

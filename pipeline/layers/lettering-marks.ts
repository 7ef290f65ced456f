import type { SizePx } from '../../config/units.js';
import type { Plate } from '../model/raster.js';
import { full16 } from './blend.js';

/** Every so-manieth pixel of a page is marked, across and down: text has strokes of several. */
const letteringEvery = 2;

/** What is brighter than this in every channel is the paper of lettering that is multiplied onto its page. Own choice. */
const paperLevel = Math.round(full16 * 0.94);

/** Where lettering lies on a page: text, balloons, captions, sound effects. */
export class LetteringMarks {
  private data: Uint8Array | undefined;
  private readonly width: number;
  private readonly height: number;

  constructor(page: SizePx) {
    this.width = Math.ceil(page.width / letteringEvery);
    this.height = Math.ceil(page.height / letteringEvery);
  }

  /**
   * Marks what shows of some rows of a layer of lettering.
   * @param pixels interleaved rgb and alpha, 16 bit, rows of `stride` pixels
   * @param first the row of the page that comes first; even
   * @param isMultiplied whether white paper in it shows nothing
   */
  mark(pixels: Uint16Array, stride: number, first: number, rows: number, isMultiplied: boolean): void {
    this.data ??= new Uint8Array(this.width * this.height);
    for (let row = 0; row < rows; row += letteringEvery) {
      const y = (first + row) / letteringEvery;
      if (y >= this.height) return;
      for (let x = 0, at = row * stride * 4; x < this.width; x++, at += 4 * letteringEvery) {
        if (pixels[at + 3] < full16 / 2) continue;
        if (isMultiplied && Math.min(pixels[at], pixels[at + 1], pixels[at + 2]) > paperLevel) continue;
        this.data[y * this.width + x] = 255;
      }
    }
  }

  /** 255 where there is lettering, for every second pixel of the page; undefined for a page without any. */
  plate(): Plate | undefined {
    const { data, width, height } = this;
    return data === undefined ? undefined : { width, height, data };
  }
}

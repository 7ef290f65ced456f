import { describe, expect, it } from 'vitest';
import { notOpaquePercent, ontoPaper } from '../../../pipeline/layers/paper.js';
import type { Raster } from '../../../pipeline/model/raster.js';

function raster(model: Raster['model'], data: Uint8Array | Uint16Array, alpha = true): Raster {
  const channels = { grey: 1, rgb: 3, cmyk: 4 }[model] + (alpha ? 1 : 0);
  return { width: data.length / channels, height: 1, model, alpha, data };
}

describe('a flat picture on white paper', () => {
  it('every 8-bit grey at every alpha is rounded to the nearest', () => {
    const data = new Uint8Array(65536 * 2);
    for (let i = 0; i < 65536; i++) {
      data[i * 2] = i >> 8;
      data[i * 2 + 1] = i & 255;
    }
    const out = ontoPaper(raster('grey', data)).data;
    let wrong = 0;
    for (let i = 0; i < 65536; i++) {
      const alpha = (i & 255) / 255;
      const exact = (i >> 8) * alpha + 255 * (1 - alpha);
      if (Math.abs(out[i] - exact) > 0.5) wrong++;
    }
    expect(wrong).toBe(0);
  });

  it('16-bit rgb keeps its depth and is rounded to the nearest', () => {
    const out = ontoPaper(raster('rgb', Uint16Array.of(0, 30001, 65535, 32769)));
    expect(out.alpha).toBe(false);
    expect(out.data).toBeInstanceOf(Uint16Array);
    // 65535 - 32769 = 32766 of paper, and 30001 x 32769 / 65535 = 15001.19 of colour over it.
    expect([...out.data]).toEqual([32766, 47767, 65535]);
  });

  it('paper is no ink in cmyk', () => {
    const out = ontoPaper(raster('cmyk', Uint8Array.of(255, 100, 0, 40, 51)));
    expect([...out.data]).toEqual([51, 20, 0, 8]);
  });

  it('transparent pixels are paper whatever colour they hide', () => {
    expect([...ontoPaper(raster('rgb', Uint8Array.of(9, 8, 7, 0))).data]).toEqual([255, 255, 255]);
    expect([...ontoPaper(raster('cmyk', Uint8Array.of(9, 8, 7, 6, 0))).data]).toEqual([0, 0, 0, 0]);
  });

  it('a picture without alpha is handed back untouched', () => {
    const flat = raster('rgb', Uint8Array.of(1, 2, 3), false);
    expect(ontoPaper(flat)).toBe(flat);
  });

  it('says which share of the pixels is not fully opaque', () => {
    const one = raster('grey', Uint8Array.of(0, 255, 0, 254, 0, 0, 0, 255));
    expect(notOpaquePercent(one)).toBe(50);
    expect(notOpaquePercent(raster('grey', Uint8Array.of(0, 0), false))).toBe(0);
  });
});

import { describe, expect, test } from 'vitest';
import { reducedInks } from '../../../pipeline/inks/reduced-inks.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { processInkNames, separationOf } from '../../../pipeline/model/separation.js';
import { fitPlate } from '../../../pipeline/sizes/resample.js';
import { plateOf } from '../../helpers/rasters.js';

const arena = new PageArena();

const [width, height] = [164, 148];
const plate = (step: number) => plateOf(width, height, (x, y) => (x * step + y * 5) % 256).data;
const plates = { cyan: plate(3), magenta: plate(7), yellow: plate(11), black: plate(17) };
const separation = separationOf({ width, height }, (name) => plates[name]);

describe('the inks of a page at the size of its proof', () => {
  test('arrive each like a plate by itself, none mistaken for another or for transparency', async () => {
    const size = { width: 61, height: 55 };
    const reduced = await reducedInks(separation, size, arena);
    expect(reduced).toMatchObject({ ...size, model: 'cmyk', alpha: false });
    const plan = { crop: { left: 0, top: 0, width, height }, effectivePpi: 300 };
    for (const [channel, ink] of processInkNames.entries()) {
      const alone = await fitPlate({ width, height, data: plates[ink] }, plan, size);
      // One and four channels are resampled with sums of different width: the last bits may differ.
      const off = alone.data.map((value, i) => Math.abs(value - reduced.data[i * 4 + channel]));
      expect(Math.max(...off), ink).toBeLessThanOrEqual(2);
    }
  });

  test('are the plates themselves, interleaved, where the proof is as large as the page', async () => {
    const reduced = await reducedInks(separation, { width, height }, arena);
    for (const [channel, ink] of processInkNames.entries()) {
      expect(plates[ink].every((value, i) => value === reduced.data[i * 4 + channel])).toBe(true);
    }
  });
});

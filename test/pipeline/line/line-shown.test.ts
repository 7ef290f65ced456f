import { describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { countStrokes } from '../../../pipeline/line/line-shown.js';
import { channelsOf, type Plate, type Raster } from '../../../pipeline/model/raster.js';
import { bitsOf, drawn, plateOf, seeded } from '../../helpers/rasters.js';

const arena = new PageArena();

/** The definition, pixel by pixel: what is asked of a stroke, of each eighth of the compass, up to 16 pixels away. */
function byDefinition(colour: Raster, coverage: Plate, core: Plate, thick: Plate, blackTo: number) {
  const { width, height } = coverage;
  const channels = channelsOf(colour);
  const scale = colour.data instanceof Uint8Array ? 1 : 257;
  const light = (x: number, y: number) => {
    const at = (y * width + x) * channels;
    const [a, b, c] = colour.data.slice(at, at + 3);
    return (channels === 1 ? a : a * 0.299 + b * 0.587 + c * 0.114) / scale;
  };
  const bare = (x: number, y: number) =>
    x >= 0 && y >= 0 && x < width && y < height && coverage.data[y * width + x] === 0;
  const beside = (x: number, y: number, stepX: number, stepY: number) => {
    for (let step = 1; step <= 16; step++) {
      const [u, v] = [x + step * stepX, y + step * stepY];
      if (u < 0 || v < 0 || u >= width || v >= height) return undefined;
      if (!bare(u, v)) continue;
      return bare(u + stepX, v + stepY) ? light(u + stepX, v + stepY) : light(u, v);
    }
    return undefined;
  };
  const found = { shown: 0, hidden: 0 };
  for (let y = 0; y < height; y++) {
    for (let x = y % 3; x < width; x += 3) {
      if (core.data[y * width + x] === 0 || thick.data[y * width + x] !== 0) continue;
      const around = [-1, 0, 1].flatMap((stepX) => [-1, 0, 1].map((stepY) => [stepX, stepY]));
      const lights = around
        .filter(([stepX, stepY]) => stepX !== 0 || stepY !== 0)
        .map(([stepX, stepY]) => beside(x, y, stepX, stepY))
        .filter((each) => each !== undefined && each > blackTo) as number[];
      if (lights.length === 0) continue;
      if (lights.every((each) => each - light(x, y) >= 24)) found.shown++;
      else found.hidden++;
    }
  }
  return found;
}

const random = seeded(31);

/** Strokes of one to nine pixels in both directions, with soft edges, over patches of colour and of black. */
function page(width: number, height: number) {
  const line = (x: number, y: number) => x % 37 < 1 + ((y >> 4) % 9) || (y % 53 < 3 && x > width / 2);
  const soft = (x: number, y: number) => line(x + 1, y) || line(x - 1, y);
  const coverage = plateOf(width, height, (x, y) => (line(x, y) ? 255 : soft(x, y) ? 90 : 0));
  const core = plateOf(width, height, (x, y) => (line(x, y) ? 255 : 0));
  const thick = plateOf(width, height, (x, y) => (x % 37 < 4 && y % 53 < 3 ? 255 : 0));
  const tone = (x: number, y: number) => ((x >> 5) + (y >> 5)) % 4 === 0;
  const sample = (x: number, y: number) => {
    const ground = tone(x, y) ? 10 : 120 + Math.floor(random() * 60);
    return line(x, y) && x % 3 !== 0 ? Math.floor(random() * 90) : ground;
  };
  return { coverage, core, thick, sample };
}

describe.each([
  [200, 150],
  [64, 40],
  [130, 9],
])('strokes on a page of %i x %i', (width, height) => {
  const { coverage, core, thick, sample } = page(width, height);
  const rgb = drawn(width, height, 'rgb', (x, y) => [sample(x, y), sample(x, y), sample(x, y)]);
  const grey = drawn(width, height, 'grey', (x, y) => [sample(x, y)]);
  const deep = { ...rgb, data: Uint16Array.from(rgb.data, (value, i) => value * 257 + (i % 3)) };

  it.each([
    ['rgb', rgb],
    ['grey', grey],
    ['rgb of 16 bit', deep],
  ])('are counted as the definition says, in %s', (_, colour) => {
    const found = countStrokes(colour, coverage, bitsOf(core), bitsOf(thick), 25, arena);
    expect(found).toEqual(byDefinition(colour, coverage, core, thick, 25));
    expect(found.shown + found.hidden).toBeGreaterThan(10);
  });
});

it('are counted across windows of rows as if there were one', () => {
  // 4 MB are 200 rows of this width, of which 166 are judged at a time.
  const [width, height] = [6900, 400];
  const { coverage, core, thick, sample } = page(width, height);
  const colour = drawn(width, height, 'rgb', (x, y) => [sample(x, y), 40, 40]);
  const all = countStrokes(colour, coverage, bitsOf(core), bitsOf(thick), 25, arena);
  expect(all).toEqual(byDefinition(colour, coverage, core, thick, 25));
});

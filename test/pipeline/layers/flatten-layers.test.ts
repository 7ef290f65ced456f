import { describe, expect, it } from 'vitest';
import type { Part } from '../../../config/job.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { type FlattenedPage, flatten } from '../../../pipeline/layers/flatten-layers.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import type { Layer, LayerGroup } from '../../../pipeline/model/working-page.js';
import { drawn } from '../../helpers/rasters.js';
import {
  groupOf,
  type LayerTraits,
  layerOf,
  lineSettings,
  pageOf,
  painted,
  seeded,
} from '../../helpers/stack-builder.js';

const arena = new PageArena();

type Pixel = readonly [number, number, number, number];

const width = 100;
const height = 80;
const skin: Pixel = [0.9, 0.7, 0.5, 1];
const nothing: Pixel = [0, 0, 0, 0];

/** Layers are told by the first word of their name: `line`, `lettering`, `flats`. */
function partOf(name: string): Part | undefined {
  const word = name.split(' ')[0];
  return word === 'line' || word === 'lettering' || word === 'flats' ? word : undefined;
}

function run(children: readonly (Layer | LayerGroup)[]): Promise<FlattenedPage> {
  return flatten(pageOf(width, height, children), { partOf, line: lineSettings }, arena);
}

function layer(paint: (x: number, y: number) => Pixel, traits: LayerTraits = {}): Layer {
  return layerOf(painted(width, height, paint), traits);
}

const skinLayer = layer(() => skin, { name: 'skin' });

/** How far a pixel lies inside a level stroke of the given middle and width, 0 to 1, with soft edges. */
function stroke(y: number, middle: number, strokeWidth: number): number {
  return Math.min(1, Math.max(0, strokeWidth / 2 + 0.5 - Math.abs(y - middle)));
}

/** A black stroke, 8 pixels wide with half covered edges, all across the page at y = 40. */
const inks = layer((_, y) => [0, 0, 0, stroke(y, 40.25, 8)], { name: 'line' });

function colourAt(page: FlattenedPage, x: number, y: number): number[] {
  const at = (y * width + x) * 3;
  return [...page.colour.data.subarray(at, at + 3)];
}

function lineAt(page: FlattenedPage, x: number, y: number): number | undefined {
  return page.line?.data[y * width + x];
}

function bytes(pixel: Pixel): number[] {
  return pixel.slice(0, 3).map((v) => Math.round(v * 255));
}

/** The page as printed if the line were laid over the colour with its soft edge, against the page flattened whole. */
async function worstAgainstWhole(children: readonly (Layer | LayerGroup)[]): Promise<number> {
  const parted = await run(children);
  const whole = await flatten(
    pageOf(width, height, children),
    {
      partOf: () => undefined,
      line: lineSettings,
    },
    arena,
  );
  let worst = 0;
  for (let i = 0; i < whole.colour.data.length; i++) {
    const bare = 1 - (parted.line?.data[Math.floor(i / 3)] ?? 0) / 255;
    worst = Math.max(worst, Math.abs(parted.colour.data[i] * bare - whole.colour.data[i]));
  }
  return worst;
}

describe('black line', () => {
  it('goes to its plate, soft edge and all, and leaves the colour beneath it whole', async () => {
    const page = await run([inks, skinLayer]);
    expect(lineAt(page, 50, 40)).toBe(255);
    expect(lineAt(page, 50, 36)).toBe(Math.round(0.25 * 255));
    expect(lineAt(page, 50, 20)).toBe(0);
    for (let y = 0; y < height; y++) expect(colourAt(page, 50, y)).toEqual(bytes(skin));
    expect(page.heldPercent).toBe(0);
  });

  it('is taken from an opaque scan in multiply just as from a transparent layer', async () => {
    const scan = layer(
      (_, y) => {
        const paper = 1 - stroke(y, 40.25, 8);
        return [paper, paper, paper, 1];
      },
      { name: 'line', blend: 'multiply' },
    );
    const [fromScan, fromLayer] = [await run([scan, skinLayer]), await run([inks, skinLayer])];
    expect(Buffer.from(fromScan.colour.data).equals(Buffer.from(fromLayer.colour.data))).toBe(true);
    for (let y = 0; y < height; y++) {
      expect(Math.abs((lineAt(fromScan, 9, y) ?? 0) - (lineAt(fromLayer, 9, y) ?? 0))).toBeLessThan(2);
    }
  });

  it('is found beneath colours that are multiplied over an opaque scan', async () => {
    const scan = layer((_, y) => (y === 40 ? [0, 0, 0, 1] : [1, 1, 1, 1]), { name: 'line' });
    const page = await run([layer(() => skin, { blend: 'multiply' }), scan]);
    expect(lineAt(page, 3, 40)).toBe(255);
    expect(colourAt(page, 3, 40)).toEqual(bytes(skin));
    expect(colourAt(page, 3, 41)).toEqual(bytes(skin));
  });

  it('of several layers combines as 1 - (1 - a)(1 - b)', async () => {
    const half = layer(() => [0, 0, 0, 0.5], { name: 'line' });
    const page = await run([half, half, skinLayer]);
    expect(Math.abs((lineAt(page, 10, 10) ?? 0) - 191)).toBeLessThan(2);
  });

  it('a page without line or lettering has no line plate', async () => {
    const page = await run([skinLayer]);
    expect(page.line).toBeUndefined();
    expect(colourAt(page, 0, 0)).toEqual(bytes(skin));
  });
});

describe('line that an effect or a hold has coloured', () => {
  const fromTheLeft = (x: number): number => Math.min(1, x / width);

  it('under a glow goes to the colour plates as the flattened page shows it, and is counted', async () => {
    const glow = layer((x) => [1, 0.9, 0.6, x < 50 ? 0 : 0.8], { name: 'glow', blend: 'screen' });
    const page = await run([glow, inks, skinLayer]);
    expect(lineAt(page, 20, 40)).toBe(255);
    expect(lineAt(page, 80, 40)).toBe(0);
    expect(colourAt(page, 80, 40)).toEqual([204, 184, 122]);
    expect(page.heldPercent).toBe(50);
    expect(page.coveredPercent).toBe(0);
  });

  it('keeps its soft edge in colour, without a halo of the colour beneath', async () => {
    const glow = layer(() => [1, 1, 1, 0.3], { name: 'glow', blend: 'screen' });
    const page = await run([glow, inks, skinLayer]);
    const whole = await flatten(
      pageOf(width, height, [glow, inks, skinLayer]),
      {
        partOf: () => undefined,
        line: lineSettings,
      },
      arena,
    );
    expect(Buffer.from(page.colour.data).equals(Buffer.from(whole.colour.data))).toBe(true);
    expect(page.line?.data.every((amount) => amount === 0)).toBe(true);
  });

  it('in plus is held where the glow is strong and stays black where it is weak', async () => {
    const glow = layer((x) => [1, 1, 1, fromTheLeft(x)], { name: 'glow', blend: 'plus' });
    const page = await run([glow, inks, skinLayer]);
    // The limit is 15 percent of brightness; a few pixels about it are decided together.
    expect(lineAt(page, 10, 40)).toBe(255);
    expect(lineAt(page, 20, 40)).toBe(0);
  });

  it('by a hold clipped to it prints in that colour', async () => {
    const hold = layer((x) => (x < 50 ? nothing : [0.8, 0.1, 0.2, 1]), { name: 'hold', blend: 'src-atop' });
    const page = await run([groupOf([hold, inks], { isolated: true }), skinLayer]);
    expect(lineAt(page, 20, 40)).toBe(255);
    expect(lineAt(page, 80, 40)).toBe(0);
    expect(colourAt(page, 80, 40)).toEqual(bytes([0.8, 0.1, 0.2, 1]));
    expect(page.heldPercent).toBe(50);
  });

  it('drawn in colour on the line layer prints in that colour', async () => {
    const red = layer((x, y) => [x < 50 ? 0 : 0.8, 0, 0, stroke(y, 40.25, 8)], { name: 'line' });
    const page = await run([red, skinLayer]);
    expect(lineAt(page, 20, 40)).toBe(255);
    expect(lineAt(page, 80, 40)).toBe(0);
    expect(colourAt(page, 80, 40)).toEqual([204, 0, 0]);
    expect(page.heldPercent).toBeCloseTo(50, 5);
  });

  it('grain in a glow about the limit makes no speckle', async () => {
    const random = seeded(3);
    const grain = layer(() => [1, 1, 1, 0.12 + 0.05 * random()], { name: 'grain', blend: 'screen' });
    const page = await run([grain, inks, skinLayer]);
    let changes = 0;
    for (let y = 38; y < 43; y++) {
      for (let x = 1; x < width; x++) {
        if ((lineAt(page, x, y) === 0) !== (lineAt(page, x - 1, y) === 0)) changes++;
      }
    }
    // Each pixel for itself would change over some 240 times in these five rows.
    expect(changes).toBeLessThan(20);
  });
});

describe('line that is covered', () => {
  const inBalloon = (x: number, y: number): boolean => x >= 30 && x < 70 && y >= 20 && y < 60;

  it('under a white balloon prints nowhere and does not count as held', async () => {
    const balloon = layer((x, y) => (inBalloon(x, y) ? [1, 1, 1, 1] : nothing), { name: 'balloon' });
    const page = await run([balloon, inks, skinLayer]);
    expect(lineAt(page, 50, 40)).toBe(0);
    expect(colourAt(page, 50, 40)).toEqual([255, 255, 255]);
    expect(page.heldPercent).toBe(0);
    expect(page.coveredPercent).toBe(40);
    expect(page.noticed.map(({ code }) => code)).toContain('line-covered');
  });

  it('leaves no dark dots along the soft edge of the paint that cuts it', async () => {
    const side = (x: number): number => Math.min(1, Math.max(0, 70.6 - x));
    const paint = layer((x) => [1, 1, 1, side(x)], { name: 'paint' });
    const page = await run([paint, inks, skinLayer]);
    expect([69, 70, 71].map((x) => lineAt(page, x, 40))).toEqual([0, 255 * 0.4, 255]);
    for (let x = 60; x < 75; x++) expect(Math.min(...colourAt(page, x, 40))).toBeGreaterThanOrEqual(127);
    expect(page.heldPercent).toBe(0);
  });

  it('under soft-edged text on a balloon leaves no trace, in whatever layers balloon and text are', async () => {
    const balloon = (x: number, y: number): Pixel => (inBalloon(x, y) ? [1, 1, 1, 1] : nothing);
    const text = (x: number): number => stroke(x, 50.25, 6);
    const onBalloon = layer((x, y) => {
      const paper = inBalloon(x, y) ? 1 - text(x) : 0;
      return inBalloon(x, y) ? [paper, paper, paper, 1] : nothing;
    });
    const textAlone = layer((x, y) => (inBalloon(x, y) ? [0, 0, 0, text(x)] : nothing));
    const ways = [
      [{ ...onBalloon, name: 'lettering' }],
      [{ ...textAlone, name: 'lettering text' }, layer(balloon, { name: 'lettering balloons' })],
      [{ ...textAlone, name: 'lettering text' }, layer(balloon, { name: 'white shapes' })],
      [groupOf([textAlone, layer(balloon)], { name: 'lettering', isolated: true })],
    ];
    for (const lettering of ways) {
      const page = await run([...lettering, inks, skinLayer]);
      for (let x = 40; x < 60; x++) {
        expect(colourAt(page, x, 40)).toEqual([255, 255, 255]);
        expect(Math.abs((lineAt(page, x, 40) ?? -9) - 255 * text(x))).toBeLessThan(2);
      }
      expect(page.heldPercent).toBe(0);
    }
  });
});

describe('lettering', () => {
  /** A yellow caption with black text and a black frame, and a red sound effect beside it. */
  const caption = layer(
    (x, y) => {
      if (x >= 80 && y < 20) return [0.9, 0.1, 0.1, 1];
      if (x < 10 || x >= 70 || y < 10 || y >= 40) return nothing;
      if (x < 13 || x >= 67 || y < 13 || y >= 37) return [0, 0, 0, 1];
      const paper = 1 - stroke(x, 40.25, 6);
      return [paper, 0.9 * paper, 0.4 * paper, 1];
    },
    { name: 'lettering' },
  );

  it('gives its black to the line plate and keeps the caption whole beneath the text', async () => {
    const page = await run([caption, skinLayer]);
    expect(lineAt(page, 40, 25)).toBe(255);
    expect(lineAt(page, 11, 25)).toBe(255);
    for (let x = 20; x < 60; x++) {
      const off = colourAt(page, x, 25).map((v, c) => Math.abs(v - [255, 229.5, 102][c]));
      expect(Math.max(...off)).toBeLessThan(3);
    }
  });

  it('keeps coloured sound effects in colour, and none of it counts as held', async () => {
    const page = await run([caption, skinLayer]);
    expect(lineAt(page, 90, 10)).toBe(0);
    expect(colourAt(page, 90, 10)).toEqual([230, 26, 26]);
    expect(page.heldPercent).toBe(0);
  });

  it('text without a balloon lies on the art as it is', async () => {
    const text = layer((x, y) => [0, 0, 0, y < 50 ? stroke(x, 30.25, 5) : 0], { name: 'lettering' });
    const page = await run([text, skinLayer]);
    for (let x = 20; x < 40; x++) expect(colourAt(page, x, 20)).toEqual(bytes(skin));
    expect(lineAt(page, 30, 20)).toBe(255);
  });

  it('a grey caption is paint, not line', async () => {
    const grey = layer((x) => (x < 40 ? [0.5, 0.5, 0.5, 1] : nothing), { name: 'lettering' });
    const page = await run([grey, skinLayer]);
    expect(page.line?.data.every((amount) => amount === 0)).toBe(true);
    expect(colourAt(page, 5, 5)).toEqual([128, 128, 128]);
  });
});

describe('line and colour together', () => {
  it('look like the flattened page wherever nothing lies above the line', async () => {
    const soft = layer((x, y) => [0, 0, 0, stroke((x * 0.6 + y) % 16, 8, 3)], { name: 'line' });
    const shade = layer((x) => [0.3, 0.3, 0.6, x / width], { blend: 'multiply' });
    expect(await worstAgainstWhole([soft, shade, skinLayer])).toBeLessThanOrEqual(1.5);
  });

  it('look like it under any layer that multiplies', async () => {
    const shade = layer((x) => [0.3, 0.3, 0.6, x / width], { blend: 'multiply' });
    expect(await worstAgainstWhole([shade, inks, skinLayer])).toBeLessThanOrEqual(1.5);
  });

  it('white corrections on the line layer cover both line and colour', async () => {
    const corrections = layer(
      (x, y) => {
        if (x >= 40 && x < 60) return [1, 1, 1, 1];
        return [0, 0, 0, stroke(y, 40.25, 8)];
      },
      { name: 'line' },
    );
    const page = await run([corrections, skinLayer]);
    expect(colourAt(page, 50, 40)).toEqual([255, 255, 255]);
    expect(lineAt(page, 50, 40)).toBe(0);
    expect(lineAt(page, 20, 40)).toBe(255);
    expect(page.heldPercent).toBe(0);
  });
});

describe('the stack', () => {
  it('flattens hidden flats away and visible ones as they stand, with a note', async () => {
    const flats = layer(() => [0, 1, 0, 1], { name: 'flats' });
    const hidden = await run([{ ...flats, visible: false }, skinLayer]);
    expect(colourAt(hidden, 4, 4)).toEqual(bytes(skin));
    expect(hidden.noticed.map(({ code }) => code)).toEqual(['layers-hidden']);
    const shown = await run([flats, skinLayer]);
    expect(colourAt(shown, 4, 4)).toEqual([0, 255, 0]);
    expect(shown.noticed.map(({ code }) => code)).toEqual(['layers-flats']);
  });

  it('names the layers that it took as line and lettering, the empty ones and those off the page', async () => {
    const far = layerOf(
      painted(5, 5, () => skin),
      { name: 'far', x: width, y: 3 },
    );
    const page = await run([
      layer(() => nothing, { name: 'lettering' }),
      layer(() => nothing, { name: 'sky' }),
      far,
      inks,
    ]);
    const messages = page.noticed.map(({ code, message }) => `${code}: ${message}`);
    expect(messages).toEqual([
      'layers-line: Taken as line art: "line"',
      'layers-lettering: Taken as lettering, its black text as line: "lettering"',
      'layers-empty: Empty layers: "lettering", "sky"',
      'layers-off-page: Layers that lie wholly off the page: "far"',
    ]);
  });

  it('takes all content of a group of line as line', async () => {
    const inside = { ...inks, name: 'colour on top' };
    for (const isolated of [true, false]) {
      const page = await run([groupOf([inside], { name: 'line', isolated }), skinLayer]);
      expect(lineAt(page, 50, 40)).toBe(255);
      expect(colourAt(page, 50, 40)).toEqual(bytes(skin));
    }
  });

  it('gives 16 bit when a layer has 16 bit, and decodes each visible layer once', async () => {
    let decoded = 0;
    const counted = (raster: Raster, traits: LayerTraits): Layer => ({
      ...layerOf(raster, traits),
      pixels: async () => {
        decoded++;
        return raster;
      },
    });
    const deep = painted(width, height, () => [0.123456, 0.5, 0.9, 1], 16);
    const page = await run([counted(deep, {}), counted(deep, { visible: false }), inks]);
    expect(page.colour.data).toBeInstanceOf(Uint16Array);
    expect(colourAt(page, 50, 2)).toEqual([8091, 32768, 58982]);
    expect(decoded).toBe(1);
  });

  it('refuses a layer of cmyk pixels and says what to do', async () => {
    const cmyk: Raster = { width: 1, height: 1, model: 'cmyk', alpha: false, data: new Uint8Array(4) };
    await expect(run([layerOf(cmyk)])).rejects.toThrow(/RGB/);
  });

  it('comes out the same where the arena has no memory left, as for a very large page', async () => {
    const at = (draw: (x: number, y: number) => readonly number[], traits: LayerTraits) =>
      layerOf(drawn(width, height, 'rgb', draw), traits);
    const stack = [
      at((x, y) => (y % 30 < 12 ? [255, 255, 255, x < 50 ? 255 : 0] : [0, 0, 0, 0]), { name: 'lettering' }),
      groupOf([at((x, y) => [x, 200, y, x + y], { opacity: 0.6 })], { blend: 'screen', opacity: 0.7 }),
      at((_, y) => [0, 0, 0, 255 * stroke(y, 40.25, 8)], { name: 'line' }),
      at((x, y) => [250 - x, 2 * x, y, 128 + y], { blend: 'color-dodge', x: 7, y: -9 }),
      at((x, y) => [y, 255 - x, 99], { blend: 'multiply', opacity: 0.3 }),
      at((x, y) => [x, y, 180], { name: 'flats' }),
    ];
    const usual = await run(stack);
    // No memory for anything, and memory for a part of it.
    for (const steps of [[2 ** 20, 2 ** 12, 1], [2 ** 20], [6e5], [2 ** 20, 1e5]]) {
      for (const step of steps) {
        while (arena.has(arena.allocate(step)));
      }
      const crowded = await run(stack);
      arena.reset();
      expect(crowded).toEqual(usual);
    }
    expect(usual.line?.data.includes(255)).toBe(true);
  });

  it.each([
    ['from head to foot', 0],
    ['from foot to head', 500],
  ])('comes out whole where its lowest layer lays it %s', async (_, top) => {
    const [wide, high] = [320, 700];
    const lowest = layerOf(
      drawn(wide, high - top, 'rgb', () => [9, 9, 9]),
      { y: top },
    );
    const above = layerOf(drawn(wide, high, 'rgb', (x, y) => [x % 251, y % 241, (x * y) % 239]));
    const line = layerOf(
      drawn(wide, high, 'rgb', (x, y) => [0, 0, 0, (x + y) % 40 === 0 ? 255 : 0]),
      { name: 'line' },
    );
    const page = await flatten(
      pageOf(wide, high, [line, above, lowest]),
      { partOf, line: lineSettings },
      arena,
    );
    const expected = drawn(wide, high, 'rgb', (x, y) => [x % 251, y % 241, (x * y) % 239]);
    expect(Buffer.compare(page.colour.data as Uint8Array, expected.data as Uint8Array)).toBe(0);
    const inked = drawn(wide, high, 'grey', (x, y) => [(x + y) % 40 === 0 ? 255 : 0]);
    expect(Buffer.compare(page.line?.data as Uint8Array, inked.data as Uint8Array)).toBe(0);
  });

  it('is worked on one page at a time: a second one in the same arena is refused, and spoils nothing', async () => {
    const stack = [inks, skinLayer];
    const first = run(stack);
    await expect(run(stack)).rejects.toThrow('two pages are worked on in one arena');
    expect(await first).toEqual(await run(stack));
  });
});

import { beforeAll, describe, expect, it } from 'vitest';
import { type ExactTransform, exactTransform, loadProfile } from '../../../config/press/colour-engine.js';
import { openPress } from '../../../config/press.js';
import { openSeparator } from '../../../pipeline/inks/separator.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { Raster } from '../../../pipeline/model/raster.js';
import { processPlanes } from '../../../pipeline/model/separation.js';
import { drawnPx, flat, inksOf, layered, printPx } from '../../helpers/page-to-inks.js';
import { groupOf, layerOf } from '../../helpers/stack-builder.js';

// A long, soft gradient shows bands wherever 16 bit is cut to 8 before the inks are: an ink is then up to a whole step off, not half.

const { width, height } = drawnPx;
let exact: ExactTransform;
beforeAll(async () => {
  const { profile } = await openPress({ kind: 'shipped', name: 'cgats-tr006' });
  const relative = { intent: 'relative', blackPointCompensation: true } as const;
  exact = exactTransform({ from: 'srgb', to: loadProfile(profile), ...relative });
});

/** From left to right 5 % darker, of 65535. */
function levelAt(x: number): number {
  return 65535 * (0.95 - (0.05 * x) / (width - 1));
}

const isStroke = (y: number) => y > 300 && y < 312;

function gradient(hasStroke: boolean): Raster {
  const data = Uint16Array.from({ length: width * height * 3 }, (_, i) => {
    const pixel = Math.floor(i / 3);
    return hasStroke && isStroke(Math.floor(pixel / width)) ? 0 : Math.round(levelAt(pixel % width));
  });
  return { width, height, model: 'rgb', alpha: false, data };
}

function stroke(): Raster {
  const data = Uint8Array.from({ length: width * height * 4 }, (_, i) =>
    i % 4 === 3 && isStroke(Math.floor(i / 4 / width)) ? 255 : 0,
  );
  return { width, height, model: 'rgb', alpha: true, data };
}

const asLine = (): Raster => {
  const { data } = stroke();
  return {
    width,
    height,
    model: 'grey',
    alpha: false,
    data: Uint8Array.from({ length: width * height }, (_, i) => 255 - data[i * 4 + 3]),
  };
};

const pages = {
  'flat, its line lifted': () => ({ colour: flat(gradient(true)) }),
  'colour beside line, the line painted in as well': () => ({
    colour: flat(gradient(true)),
    line: flat(asLine()),
  }),
  'of layers, one of 8 bit above it': () => ({
    colour: layered(
      groupOf([layerOf(stroke(), { name: 'line' }), layerOf(gradient(false))], { isolated: true }),
    ),
  }),
};

describe('a page of 16 bit', () => {
  it.each(Object.entries(pages))('%s: keeps them from the files to the inks', async (_, parts) => {
    const { inks, inked } = await inksOf(parts());
    expect(inks.line).toBeDefined();
    expect(inked.colour?.data).toBeInstanceOf(Uint16Array);
    const row = 60 * printPx.width;
    const planes = processPlanes(inks.composite);
    for (let x = 6; x < printPx.width - 6; x++) {
      const level = (levelAt(2 * x) + levelAt(2 * x + 1)) / 2 / 65535;
      const wanted = exact([level, level, level]);
      // Half a step of ink, and what the table of colours adds. Cut to 8 bit it is 1.03.
      for (const [ink, plane] of planes.entries()) {
        expect(Math.abs(plane[row + x] - wanted[ink] * 255)).toBeLessThan(0.6);
      }
    }
  });

  it('in CMYK of another press has the inks of 8 bit, solid black included', async () => {
    const [source, press] = [
      await openPress({ kind: 'shipped', name: 'fogra39l' }),
      await openPress({ kind: 'shipped', name: 'cgats-tr006' }),
    ];
    const separator = openSeparator(press, {
      intent: 'relative',
      blackPointCompensation: true,
      inkLimitPercent: undefined,
    });
    const corners = Array.from({ length: 256 }, (_, i) =>
      [i & 3, (i >> 2) & 3, (i >> 4) & 3, i >> 6].map((v) => v * 85),
    );
    const bytes = Uint8Array.from(corners.flat());
    const inksFrom = (data: Raster['data']) => {
      const raster: Raster = { width: 256, height: 1, model: 'cmyk', alpha: false, data };
      return processPlanes(separator.separate(raster, source.profile, new PageArena()).separation);
    };
    const [eight, sixteen] = [inksFrom(bytes), inksFrom(Uint16Array.from(bytes, (v) => v * 257))];
    for (const [ink, plane] of eight.entries()) {
      expect(Math.max(...plane.map((value, i) => Math.abs(value - sixteen[ink][i])))).toBeLessThanOrEqual(1);
    }
    expect(Array.from(sixteen, (plane) => plane[192])).toEqual([0, 0, 0, 255]);
  });
});

import { beforeAll, describe, expect, it } from 'vitest';
import { loadProfile, type TableTransform, tableTransform } from '../../config/press/colour-engine.js';
import { openPress } from '../../config/press.js';
import { rgbInkTable } from '../../pipeline/inks/ink-table.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { seeded } from '../helpers/stack-builder.js';

// The reference is jscolorengine's own look-up of 8-bit pixels, which is held to Little CMS in little-cms.test.ts: our
// kernel has to give the same numbers, so that nothing that was shown there is lost on the way.

const arena = new PageArena();
const count = 1 << 15;

describe.each([65, 97, 33])('our look-up in a table of %i nodes an axis', (gridPoints) => {
  let engine: TableTransform;
  beforeAll(async () => {
    const press = loadProfile((await openPress({ kind: 'shipped', name: 'cgats-tr006' })).profile);
    const conversion = { from: 'srgb', to: press, intent: 'relative', blackPointCompensation: true } as const;
    engine = tableTransform(conversion, gridPoints, 8);
  });

  /** Bands in which the two differ, of those that `pixels` fills. */
  function bandsThatDiffer(bands: number, pixels: (band: number) => Uint8Array): number[] {
    const table = rgbInkTable(engine.nodes, engine.gridPoints);
    const [place, from, to] = arena.scratch(table.bytes, count * 3, count * 4);
    const lookUp = table.open(place, arena);
    const expected = new Uint8ClampedArray(count * 4);
    return Array.from({ length: bands }, (_, band) => band).filter((band) => {
      const own = pixels(band);
      engine.run(own, count, expected);
      arena.addressOf(own, from);
      lookUp(from, count, to);
      return !Buffer.from(expected.buffer).equals(arena.view(to, count * 4));
    });
  }

  it('gives the inks of every colour there is as the engine does', () => {
    const everyColour = (band: number) =>
      Uint8Array.from({ length: count * 3 }, (_, at) => {
        const colour = band * count + Math.floor(at / 3);
        return colour >> ((at % 3) * 8);
      });
    // All of them where pages are separated by default, else one band in sixteen.
    const every = gridPoints === 65 ? 1 : 16;
    expect(bandsThatDiffer(512 / every, (band) => everyColour(band * every + (every >> 1)))).toEqual([]);
  });

  it('does so for colours that lie far apart, too', () => {
    const random = seeded(5);
    const grain = () => Uint8Array.from({ length: count * 3 }, () => random() * 256);
    expect(bandsThatDiffer(4, grain)).toEqual([]);
  });
});

it('keeps inks within none and full, whatever the nodes say', () => {
  const nodes = new Float64Array(8 * 4).fill(1.5).fill(-0.5, 16);
  const table = rgbInkTable(nodes, 2);
  const [place, from, to] = arena.scratch(table.bytes, 6, 8);
  arena.addressOf(Uint8Array.of(0, 0, 0, 255, 255, 255), from);
  table.open(place, arena)(from, 2, to);
  expect([...arena.view(to, 8)]).toEqual([255, 255, 255, 255, 0, 0, 0, 0]);
});

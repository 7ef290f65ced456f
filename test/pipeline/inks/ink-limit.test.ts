import { beforeAll, describe, expect, it } from 'vitest';
import { ciede2000, type Lab } from '../../../config/press/ciede2000.js';
import {
  type ExactTransform,
  exactTransform,
  loadProfile,
  tableTransform,
} from '../../../config/press/colour-engine.js';
import { openPress } from '../../../config/press.js';
import { limitBeneathBlack, limitNodes, limitTarget } from '../../../pipeline/inks/ink-limit.js';
import { inkModel } from '../../../pipeline/inks/ink-model.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { processInkNames, type Separation, separationOf } from '../../../pipeline/model/separation.js';
import { planesOf } from '../../helpers/plates.js';
import { seeded } from '../../helpers/stack-builder.js';

const arena = new PageArena();

const grid = 33;
let nodes: Float64Array;
let inkToLab: ExactTransform;
beforeAll(async () => {
  const press = loadProfile((await openPress({ kind: 'shipped', name: 'cgats-tr006' })).profile);
  inkToLab = exactTransform({ from: press, to: 'lab', intent: 'relative', blackPointCompensation: false });
  const conversion = { from: 'srgb', to: press, intent: 'relative', blackPointCompensation: true } as const;
  nodes = tableTransform(conversion, grid, 8).nodes;
});

function labOf(ink: ArrayLike<number>): Lab {
  const [l = 0, a = 0, b = 0] = inkToLab(Array.from(ink));
  return [l * 100, a * 255 - 128, b * 255 - 128];
}

const sumAt = (inks: Float64Array, at: number) => inks[at] + inks[at + 1] + inks[at + 2] + inks[at + 3];

/** The crude way that the limit is held against: all four inks cut in proportion. */
function crudeCut(ink: Float64Array, target: number): number[] {
  const scale = target / sumAt(ink, 0);
  return Array.from(ink, (part) => part * scale);
}

describe('the ink limit of a device link', () => {
  it.each([200, 240, 260])(
    'at %i percent no node is over it, and those within it stay as they are',
    (percent) => {
      const limits = limitNodes(nodes, percent, () => inkModel(inkToLab));
      const target = limitTarget(percent);
      expect(limits.limited).toBeGreaterThan(0);
      for (let at = 0; at < nodes.length; at += 4) {
        const before = nodes.subarray(at, at + 4);
        const after = limits.nodes.subarray(at, at + 4);
        if (sumAt(after as Float64Array, 0) > target + 1e-9)
          throw new Error(`node ${at / 4} is over the limit`);
        for (const ink of after) if (ink < 0 || ink > 1) throw new Error(`an ink of ${ink}`);
        if (sumAt(before as Float64Array, 0) <= target && Buffer.compare(bytes(before), bytes(after)) !== 0) {
          throw new Error(`node ${at / 4} changed within the limit`);
        }
      }
    },
  );

  it('stays far closer to the colour than a cut of all inks in proportion', () => {
    const limits = limitNodes(nodes, 240, () => inkModel(inkToLab));
    const target = limitTarget(240);
    let [own, crude, mostOwn, mostCrude] = [0, 0, 0, 0];
    for (let at = 0; at < nodes.length; at += 4) {
      if (sumAt(nodes, at) <= target) continue;
      const asked = nodes.subarray(at, at + 4);
      const ownDe = ciede2000(labOf(asked), labOf(limits.nodes.subarray(at, at + 4)));
      const crudeDe = ciede2000(labOf(asked), labOf(crudeCut(asked as Float64Array, target)));
      own += ownDe;
      crude += crudeDe;
      mostOwn = Math.max(mostOwn, ownDe);
      mostCrude = Math.max(mostCrude, crudeDe);
    }
    // Own measurement: 0.13 on average and 1.2 at most, against 1.6 and 5.4 of the crude cut.
    expect(own / limits.limited).toBeLessThan(0.2);
    expect(mostOwn).toBeLessThan(1.5);
    expect(own).toBeLessThan(crude / 5);
    expect(mostOwn).toBeLessThan(mostCrude / 3);
  });

  it('keeps dark neutrals neutral and lets black take over', () => {
    const limits = limitNodes(nodes, 240, () => inkModel(inkToLab));
    for (let step = 0; step < 6; step++) {
      const at = step * (grid * grid + grid + 1) * 4;
      const [, a, b] = labOf(limits.nodes.subarray(at, at + 4));
      const [, askedA, askedB] = labOf(nodes.subarray(at, at + 4));
      expect(Math.hypot(a - askedA, b - askedB), `grey ${step}`).toBeLessThan(1);
      expect(limits.nodes[at + 3]).toBeGreaterThanOrEqual(nodes[at + 3] - 0.02);
    }
  });

  it('leaves no step between neighbours that was not there before', () => {
    const limits = limitNodes(nodes, 240, () => inkModel(inkToLab));
    const strides = [grid * grid * 4, grid * 4, 4];
    const largestStep = (inks: Float64Array) => {
      let most = 0;
      for (let at = 0; at < inks.length; at++) {
        for (const stride of strides) {
          if (Math.floor(at / stride) % grid === grid - 1) continue;
          most = Math.max(most, Math.abs(inks[at + stride] - inks[at]));
        }
      }
      return most;
    };
    expect(largestStep(limits.nodes)).toBeLessThanOrEqual(largestStep(nodes) * 1.2);
  });

  it('asks for no model and changes nothing where nothing is over', () => {
    const limits = limitNodes(nodes, 320, () => {
      throw new Error('not needed');
    });
    expect(limits.nodes).toBe(nodes);
    expect(limits.limited).toBe(0);
  });
});

function bytes(inks: Float64Array): Buffer {
  return Buffer.from(inks.buffer, inks.byteOffset, inks.byteLength);
}

function pixelsOf(values: readonly (readonly [number, number, number, number])[]): Separation {
  return separationOf({ width: values.length, height: 1 }, (name) =>
    Uint8Array.from(values, (value) => value[processInkNames.indexOf(name)]),
  );
}

describe('black line over colour', () => {
  it('prints at 100 % with the colour beneath inside the limit, and touches nothing beside the line', () => {
    const separation = pixelsOf([
      [255, 255, 255, 0],
      [255, 255, 255, 0],
      [40, 50, 60, 10],
      [200, 100, 0, 0],
    ]);
    // At 240 % there is room for 140 % of colour beneath, 357 counts.
    expect(limitBeneathBlack(separation, Uint8Array.of(0, 255, 255, 128), 240, arena)).toBe(1);
    const { cyan, magenta, yellow, black } = planesOf(separation);
    expect([...black]).toEqual([0, 255, 255, 128]);
    expect([...cyan]).toEqual([255, 118, 40, 200]);
    expect([...magenta]).toEqual([255, 118, 50, 100]);
    expect([...yellow]).toEqual([255, 118, 60, 0]);
  });

  it('holds the limit on every pixel under the line, whatever the colour, and keeps the hue', () => {
    const random = seeded(3);
    const values = Array.from({ length: 20000 }, () => {
      const value = () => Math.floor(random() * 256);
      return [value(), value(), value(), value()] as const;
    });
    for (const percent of [100, 200, 240, 300]) {
      const separation = pixelsOf(values);
      limitBeneathBlack(separation, new Uint8Array(values.length).fill(255), percent, arena);
      const { cyan, magenta, yellow, black } = planesOf(separation);
      let [most, offHue] = [0, 0];
      values.forEach(([c, m, y], pixel) => {
        const inks = [cyan[pixel], magenta[pixel], yellow[pixel]] as const;
        most = Math.max(most, inks[0] + inks[1] + inks[2] + black[pixel]);
        const kept = Math.min(1, ((percent - 100) * 2.55) / (c + m + y));
        offHue = Math.max(offHue, ...[c, m, y].map((ink, index) => Math.abs(inks[index] - ink * kept)));
      });
      expect((most * 100) / 255).toBeLessThanOrEqual(percent);
      expect(offHue).toBeLessThan(1.5);
    }
  });

  it('raises black in the measure of the coverage, rounded', () => {
    for (let black = 0; black < 256; black += 5) {
      const covers = Uint8Array.from({ length: 255 }, (_, index) => index + 1);
      const separation = pixelsOf(Array.from(covers, () => [0, 0, 0, black] as const));
      limitBeneathBlack(separation, covers, 300, arena);
      covers.forEach((cover, pixel) => {
        expect(planesOf(separation).black[pixel]).toBe(Math.round(black + ((255 - black) * cover) / 255));
      });
    }
  });
});

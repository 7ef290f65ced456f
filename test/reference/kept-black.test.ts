import { beforeAll, describe, expect, it } from 'vitest';
import { ciede2000 } from '../../config/press/ciede2000.js';
import { openPress, type Press } from '../../config/press.js';
import { openSeparator } from '../../pipeline/inks/separator.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { processPlanes } from '../../pipeline/model/separation.js';
import { openReference, type Reference } from '../helpers/little-cms.js';
import { seeded } from '../helpers/stack-builder.js';

// CMYK of one press to CMYK of another. The reference is Little CMS 2.16 (lcms-wasm) in floating point: what inks look like in Lab
// on either press, and its own conversion by way of Lab, whose colours are wanted but not its black.

const arena = new PageArena();
let reference: Reference;
beforeAll(async () => {
  reference = await openReference();
});

type Lab = [number, number, number];
const relative = { intent: 'relative', blackPointCompensation: true, inkLimitPercent: 400 } as const;

/** Sources and presses that work is really moved between: coated to coated, to newsprint, and newsprint to coated. */
const ways = [
  { from: 'fogra39l', to: 'cgats-tr006' },
  { from: 'fogra39l', to: 'cgats-tr002' },
  { from: 'cgats-tr002', to: 'fogra39l' },
] as const;

async function openWay({ from, to }: (typeof ways)[number]) {
  const [source, press] = [await shipped(from), await shipped(to)];
  const separator = openSeparator(press, relative);
  const convert = (inks: Uint8Array | Uint16Array) => {
    const raster = { width: inks.length / 4, height: 1, model: 'cmyk', alpha: false, data: inks } as const;
    return processPlanes(separator.separate(raster, source.profile, arena).separation);
  };
  return { source, press, convert };
}

function shipped(name: string): Promise<Press> {
  return openPress({ kind: 'shipped', name });
}

/** What inks (0 to 1, interleaved) look like, relative colorimetric. */
function labOf({ profile }: Press, inks: Float32Array): Lab[] {
  const lab = reference.convert(profile, 'cmyk', 'lab', 'lab', 'relative', false, inks);
  return Array.from({ length: inks.length / 4 }, (_, i) => [
    lab[i * 3] * 100,
    lab[i * 3 + 1] * 255 - 128,
    lab[i * 3 + 2] * 255 - 128,
  ]);
}

function interleaved(planes: readonly Uint8Array[]): Float32Array {
  return Float32Array.from({ length: planes[0].length * 4 }, (_, i) => planes[i % 4][i >> 2] / 255);
}

/** Every amount of black ink alone. */
const ramp = Uint8Array.from({ length: 256 * 4 }, (_, i) => (i % 4 === 3 ? i >> 2 : 0));

describe.each(ways)('CMYK of $from printed in $to', (way) => {
  let { source, press, convert } = {} as Awaited<ReturnType<typeof openWay>>;
  // The link is built once for all that is asked of it.
  beforeAll(async () => {
    ({ source, press, convert } = await openWay(way));
  });

  it('has pure black as pure black, from none to solid, never lighter with more of it', () => {
    const [cyan, magenta, yellow, black] = convert(ramp);
    for (const plane of [cyan, magenta, yellow]) expect(Math.max(...plane)).toBe(0);
    expect([black[0], black[255]]).toEqual([0, 255]);
    for (let k = 1; k < 256; k++) expect(black[k]).toBeGreaterThanOrEqual(black[k - 1]);
  });

  it('prints it as light as it was, both solids and both papers laid on each other', () => {
    const was = labOf(
      source,
      Float32Array.from(ramp, (ink) => ink / 255),
    ).map(([l]) => luminance(l));
    const is = labOf(press, interleaved(convert(ramp))).map(([l]) => l);
    const [solid, darkest] = [was[255], luminance(is[255])];
    for (let k = 0; k < 256; k++) {
      const wanted = lightness(darkest + ((was[k] - solid) * (1 - darkest)) / (1 - solid));
      // Half a step of 8-bit ink is up to 0.35 of L*; the nodes between which the ramp runs straight add the rest: 0.63 at most.
      expect(Math.abs(is[k] - wanted)).toBeLessThan(0.7);
    }
  });

  it('does not jump beside pure black, whichever ink comes to it', () => {
    for (const black of [64, 128, 200, 255]) {
      for (const tint of [
        [1, 0, 0],
        [0, 1, 0],
        [0, 0, 1],
        [1, 1, 1],
      ]) {
        const inks = Uint8Array.from({ length: 104 * 4 }, (_, i) =>
          i % 4 === 3 ? black : tint[i % 4] * (i >> 2),
        );
        const looks = labOf(press, interleaved(convert(inks)));
        const steps = looks.slice(1).map((lab, i) => ciede2000(looks[i], lab));
        // Measured: 0.59 at most, where the reference's own way to keep pure black steps by up to 2.3.
        expect(Math.max(...steps)).toBeLessThan(0.7);
      }
    }
  });

  it('looks as Little CMS has it, black aside', () => {
    const random = seeded(17);
    const inks = Uint8Array.from({ length: 2000 * 4 }, (_, i) => random() * (i % 4 === 3 ? 150 : 200));
    const floats = Float32Array.from(inks, (ink) => ink / 255);
    const theirs = reference.convert(source.profile, 'cmyk', press.profile, 'cmyk', 'relative', true, floats);
    const [wanted, printed] = [labOf(press, theirs), labOf(press, interleaved(convert(inks)))];
    const des = printed.map((lab, i) => ciede2000(lab, wanted[i])).sort((a, b) => a - b);
    // Measured: mean 0.16 to 0.42, 95 % within 0.3 to 1.8; most from newsprint, whose thin black coated paper has not.
    expect(des.reduce((sum, de) => sum + de) / des.length).toBeLessThan(0.5);
    expect(des[1900]).toBeLessThan(2);
  });
});

describe('from coated to coated, whose solids are nearly as dark', () => {
  it('black prints in the tones that Little CMS finds where it keeps pure black itself', async () => {
    const { source, press, convert } = await openWay(ways[0]);
    const inks = Float32Array.from(ramp, (ink) => ink / 255);
    const theirs = reference.convert(source.profile, 'cmyk', press.profile, 'cmyk', 'kept-black', true, inks);
    const [, , , black] = convert(ramp);
    // It fits lightness alone, so that its solid is 252; here solids are laid on each other.
    for (let k = 0; k < 256; k++) expect(Math.abs(black[k] - theirs[k * 4 + 3] * 255)).toBeLessThan(3.5);
  });
});

/** CIE 15, the exact fractions. */
function luminance(l: number): number {
  return l > 8 ? ((l + 16) / 116) ** 3 : (l * 27) / 24389;
}

function lightness(y: number): number {
  return y > 216 / 24389 ? 116 * Math.cbrt(y) - 16 : (y * 24389) / 27;
}

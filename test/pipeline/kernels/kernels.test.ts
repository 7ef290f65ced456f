import { describe, expect, it } from 'vitest';
import { limitBeneathBlack } from '../../../pipeline/inks/ink-limit.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { noticeGrey } from '../../../pipeline/line/grey.js';
import { separationOf } from '../../../pipeline/model/separation.js';
import { drawOver } from '../../../pipeline/sheets/draw-over.js';
import { canvasOf, drawWithin } from '../../../pipeline/sheets/drawing.js';
import { inkAt } from '../../helpers/plates.js';
import { plateOf, seeded } from '../../helpers/rasters.js';

/** Each kernel against its definition, one sample at a time. Lengths do not fill the last vector. */

const arena = new PageArena();
const count = 1003;
const random = seeded(21);
const plane = () => Uint8Array.from({ length: count }, () => Math.floor(random() * 256));
const [cyan, magenta, yellow, black] = [plane(), plane(), plane(), plane()];

function laid(...planes: readonly Uint8Array[]): number[] {
  const places = arena.scratch(...planes.map(() => count), count * 4);
  for (const [i, samples] of planes.entries()) arena.addressOf(samples, places[i]);
  return places;
}

describe('planes and interleaved pixels', () => {
  it('are exchanged for four samples a pixel', () => {
    const [a, b, c, d, to] = laid(cyan, magenta, yellow, black);
    arena.kernels.joinFour(a, b, c, d, count, to);
    const joined = arena.view(to, count * 4).slice();
    const pixels = Array.from(cyan, (_, i) => [cyan[i], magenta[i], yellow[i], black[i]]);
    expect([...joined]).toEqual(pixels.flat());
    const [w, x, y, z, from] = arena.scratch(count, count, count, count, count * 4);
    arena.addressOf(joined, from);
    arena.kernels.splitFour(from, count, w, x, y, z);
    const split = [w, x, y, z].map((place) => arena.view(place, count).slice());
    expect(split).toEqual([cyan, magenta, yellow, black]);
  });
});

describe('edges between inks', () => {
  it('are marked where inks run against each other, and where black ends with another', () => {
    const planes = [cyan, magenta, yellow, black];
    const offset = 37;
    const [least, leastBlack] = [51, 128];
    const pairs = count - offset;
    const marks = new Uint8Array(pairs).fill(1);
    const [c, m, y, k, to] = laid(cyan, magenta, yellow, black, new Uint8Array(0));
    arena.addressOf(marks, to);
    arena.kernels.markEdges(c, m, y, k, pairs, offset, least, leastBlack, 4, to);
    const wanted = Array.from(marks, (_, i) => {
      const falls = planes.map((ink) => ink[i] - ink[i + offset]);
      const isAgainst = Math.max(...falls) >= least && Math.min(...falls) <= -least;
      const isEnd = [1, -1].some((way) => {
        const [a, b, d, dark] = falls.map((fall) => fall * way);
        return dark >= leastBlack && Math.max(a, b, d) >= least;
      });
      return 1 | (isAgainst ? 4 : 0) | (isEnd ? 64 : 0);
    });
    expect([...arena.view(to, pairs)]).toEqual(wanted);
  });
});

describe('runs of one colour', () => {
  /** Flats, single pixels of grain, and runs that end at every place within sixteen. */
  const lengths = [40, 1, 1, 2, 1, 3, 17, 16, 15, 1, 33, 1, 48, 5, 1, 1, 200, 64];
  const colours = lengths.map((_, i) => [i * 13, (i * 7) % 5, 200 - i]);
  const pixels = lengths.flatMap((length, i) => new Array<number[]>(length).fill(colours[i]));

  it.each([3, 4])('leave one pixel each, and come back whole, of %i bytes', (bytes) => {
    const own = (colour: readonly number[]) => (bytes === 3 ? [...colour] : [...colour, colour[0] ^ 90]);
    const [from, firsts, starts, inks, again, ...planes] = arena.scratch(
      ...[pixels.length * bytes, pixels.length * bytes, pixels.length * 2],
      ...[pixels.length * 4, pixels.length * 3],
      ...new Array<number>(4).fill(pixels.length),
    );
    arena.addressOf(Uint8Array.from(pixels.flatMap(own)), from);
    const runs = arena.kernels.squeeze(from, pixels.length, bytes, firsts, starts);
    expect(runs).toBe(lengths.length);
    expect([...arena.view(firsts, runs * bytes)]).toEqual(colours.flatMap(own));
    arena.addressOf(Uint8Array.from(colours.flatMap((colour) => [...colour, 9])), inks);
    arena.kernels.splitRuns(inks, starts, runs, planes[0], planes[1], planes[2], planes[3]);
    const split = planes.map((place) => [...arena.view(place, pixels.length)]);
    expect(split).toEqual([0, 1, 2, 3].map((ink) => pixels.map((colour) => colour[ink] ?? 9)));
    arena.addressOf(Uint8Array.from(colours.flat()), inks);
    arena.kernels.repeatRuns(inks, starts, runs, again);
    expect([...arena.view(again, pixels.length * 3)]).toEqual(pixels.flat());
  });

  it('are told the most ink of, stretch by stretch', () => {
    const inks = Array.from({ length: 11 }, (_, i) => [i, 255 - i, i === 6 ? 255 : 0, 3]);
    const [from, mosts] = arena.scratch(44, 12);
    arena.addressOf(Uint8Array.from(inks.flat()), from);
    arena.kernels.mostOfStretches(from, inks.length, 4, mosts);
    expect([...new Int32Array(arena.view(mosts, 12).slice().buffer)]).toEqual([258, 513, 258]);
  });
});

describe('black over colour', () => {
  it.each([170, 240, 300, 400])(
    'lowers and rises as the rule of an ink limit of %i %% says',
    (limitPercent) => {
      const cover = Uint8Array.from({ length: count }, (_, i) => [0, 0, 1, 100, 255][Math.floor(i / 40) % 5]);
      const headroom = Math.floor(((limitPercent - 100) * 255) / 100);
      const expected = Array.from(cover, (line, i) => {
        const inks = cyan[i] + magenta[i] + yellow[i];
        const share = line > 0 && inks > headroom ? Math.floor((headroom * 65536) / inks) : 65536;
        const lowered = [cyan[i], magenta[i], yellow[i]].map((ink) => Math.floor((ink * share) / 65536));
        return [...lowered, black[i] + Math.round(((255 - black[i]) * line) / 255)];
      });
      const planes = { cyan, magenta, yellow, black };
      const copy = separationOf({ width: count, height: 1 }, (name) => planes[name].slice());
      const lowered = limitBeneathBlack(copy, cover, limitPercent, arena);
      expect(Array.from(cover, (_, i) => inkAt(copy, i))).toEqual(expected);
      const over = (line: number, i: number) => line > 0 && cyan[i] + magenta[i] + yellow[i] > headroom;
      expect(lowered).toBe([...cover].filter(over).length);
    },
  );
});

describe('horizontal differences', () => {
  it.each([1, 5, 16, 17, 40])('are those of TIFF 6.0, section 14, in rows of %i pixels', (width) => {
    const rows = Math.floor(count / width);
    const planes = [cyan, magenta, yellow, black];
    const differ = (of: Uint8Array, i: number) => (of[i] - (i % width === 0 ? 0 : of[i - 1])) & 255;
    const [a, b, c, d, to] = laid(...planes);
    arena.kernels.differencesOfFour(a, b, c, d, width, rows, to);
    const expected = Array.from({ length: rows * width }, (_, i) => planes.map((each) => differ(each, i)));
    expect([...arena.view(to, rows * width * 4)]).toEqual(expected.flat());
    arena.kernels.differencesOfOne(a, width, rows, to);
    expect([...arena.view(to, rows * width)]).toEqual(expected.map(([first]) => first));
  });
});

describe('the count of grey in line art', () => {
  it.each([3, 18, 19, 60])('looks at all four neighbours, in rows of %i pixels', (width) => {
    const height = 40;
    const amount = plateOf(
      width,
      height,
      (x, y) => [0, 50, 51, 204, 205, 255, 100, 130][(x * 3 + y * y) % 8],
    );
    const isGrey = (i: number) => amount.data[i] >= 51 && amount.data[i] <= 204;
    let [grey, ink] = [0, 0];
    for (let y = 1; y < height - 1; y++) {
      for (let x = 1; x < width - 1; x++) {
        const i = y * width + x;
        if (amount.data[i] >= 51) ink++;
        if ([i, i - 1, i + 1, i - width, i + width].every(isGrey)) grey++;
      }
    }
    const measured = noticeGrey(amount, arena)[0]?.measured;
    const percent = (grey / ink) * 100;
    expect(measured).toBe(percent > 0.5 ? `${percent.toFixed(1)} % of the ink` : undefined);
  });
});

describe('shapes laid over a picture', () => {
  it('leave every pixel that they do not touch as it is', async () => {
    const data = Uint8Array.from({ length: 61 * 47 * 3 }, () => Math.floor(random() * 256));
    const drawn = { width: 61, height: 47, model: 'rgb', alpha: false, data: data.slice() } as const;
    await drawOver(drawn, ['<path d="M10 10h20v20h-20Z" fill="#ff0000"/>'], arena);
    for (let i = 0; i < 61 * 47; i++) {
      const [x, y] = [i % 61, Math.floor(i / 61)];
      const inside = x >= 10 && x < 30 && y >= 10 && y < 30;
      const expected = inside ? [255, 0, 0] : [...data.subarray(i * 3, i * 3 + 3)];
      expect([...drawn.data.subarray(i * 3, i * 3 + 3)]).toEqual(expected);
    }
  });

  it('end at the edge of the window that is drawn on, and look the same in it', async () => {
    const shapes = ['<circle cx="30.3" cy="20.7" r="17.4" fill="#204060" fill-opacity="0.6"/>'];
    const blank = () => ({ ...canvasOf(61, 47, 200, arena), data: new Uint8Array(61 * 47 * 3).fill(200) });
    const [whole, part] = [blank(), blank()];
    await drawOver(whole, shapes, arena);
    const window = { left: 13, top: 9, width: 22, height: 30 };
    await drawWithin(part, [{ shapes, window }], arena);
    for (let i = 0; i < 61 * 47; i++) {
      const [x, y] = [(i % 61) - window.left, Math.floor(i / 61) - window.top];
      const inside = x >= 0 && x < window.width && y >= 0 && y < window.height;
      const expected = inside ? [...whole.data.subarray(i * 3, i * 3 + 3)] : [200, 200, 200];
      expect([...part.data.subarray(i * 3, i * 3 + 3)]).toEqual(expected);
    }
  });

  it('are mixed by their opacity, rounded to the nearest', () => {
    const over = Uint8Array.from({ length: count * 4 }, (_, i) =>
      i % 4 === 3 && i % 24 < 12 ? 0 : random() * 256,
    );
    const under = Uint8Array.from({ length: count * 3 }, () => random() * 256);
    const [a, b] = arena.scratch(count * 3, count * 4);
    arena.addressOf(under, a);
    arena.addressOf(over, b);
    arena.kernels.layOver(a, b, count);
    const expected = Array.from(under, (ground, i) => {
      const pixel = Math.floor(i / 3) * 4;
      const alpha = over[pixel + 3];
      return Math.round((over[pixel + (i % 3)] * alpha + ground * (255 - alpha)) / 255);
    });
    expect([...arena.view(a, count * 3)]).toEqual(expected);
  });
});

import { describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { blackTolerance, isBlack } from '../../../pipeline/layers/black.js';
import { lumOf } from '../../../pipeline/layers/blend-hsl.js';
import { splitPixel } from '../../../pipeline/layers/ink-split.js';
import { tilePixels, tileSide } from '../../../pipeline/layers/tiles.js';
import { seeded } from '../../helpers/rasters.js';
import { lineSettings } from '../../helpers/stack-builder.js';

/** Kernels of black line against their definitions, pixel by pixel: everything has to be the same. */

const arena = new PageArena();
const { kernels } = arena;
const full = 65535;
const random = seeded(19);
const toldApart = 2 * tileSide;

/** Ends often, because that is where kernels pass pixels over. */
function sample(): number {
  const kind = Math.floor(random() * 6);
  if (kind < 2) return 0;
  return kind < 4 ? full : Math.floor(random() * 65536);
}

/** A tile in stretches of one kind, as pages are, with some of every other kind among them. */
function tile(): Uint16Array {
  const pixels = new Uint16Array(tilePixels * 4);
  let colour = [0, 0, 0, 0];
  for (let i = 0; i < pixels.length; i += 4) {
    if (random() < 0.2) colour = [sample(), sample(), sample(), sample()];
    if (random() < 0.05) colour = [0, 0, 0, full];
    pixels.set(colour, i);
  }
  return pixels;
}

const amounts = () => Uint16Array.from({ length: tilePixels }, () => sample());
const bytes = (most: number) =>
  Uint8Array.from({ length: tilePixels }, () => (random() < 0.6 ? 0 : Math.floor(random() * most)));

function placed(...all: (Uint8Array | Uint16Array)[]): number[] {
  const places = arena.scratch(...all.map(({ byteLength }) => byteLength));
  all.forEach((samples, i) => {
    arena.addressOf(samples, places[i]);
  });
  return places;
}

function listedAt(list: number, count: number): number[] {
  const { buffer, byteOffset } = arena.view(list, count * 2);
  return [...new Uint16Array(buffer, byteOffset, count)];
}

const sizes = [
  [tileSide, tileSide],
  [tileSide, 1],
  [30, 7],
  [3, tileSide],
] as const;

describe('line of a tile', () => {
  it.each(sizes)('is listed where it has to be judged, %i x %i', (width, rows) => {
    const [amount, pixels, to] = [amounts(), tile(), new Uint8Array(toldApart * tileSide).fill(7)];
    const [at, tileAt, out, list] = placed(amount, pixels, to, amounts());
    const count = kernels.listLine(at, tileAt, width, rows, out, toldApart, list);
    const [listed, inBytes] = [[] as number[], to.slice()];
    for (let y = 0; y < rows; y++) {
      for (let x = 0; x < width; x++) {
        const pixel = y * tileSide + x;
        if (amount[pixel] === 0) continue;
        inBytes[y * toldApart + x] = Math.round(amount[pixel] / 257);
        const [r, g, b, alpha] = pixels.subarray(pixel * 4, pixel * 4 + 4);
        if (amount[pixel] !== full || r !== 0 || g !== 0 || b !== 0 || alpha !== full) listed.push(pixel);
      }
    }
    expect(listedAt(list, count)).toEqual(listed);
    expect(Buffer.compare(arena.view(out, to.length), inBytes)).toBe(0);
  });

  it.each(sizes)('is listed where it has to be decided, %i x %i', (width, rows) => {
    const [most, lineMark, least] = [32, 1, 30_000];
    const [amount, marks] = [amounts(), bytes(4)];
    const doubts = Uint8Array.from({ length: toldApart * tileSide }, () =>
      random() < 0.5 ? 0 : Math.floor(random() * 256),
    );
    const [at, marksAt, doubtsAt, list, sure] = placed(amount, marks, doubts, amounts(), new Uint8Array(4));
    const count = kernels.listDoubtful(
      ...([doubtsAt, toldApart, most, marksAt, lineMark, at, least] as const),
      ...([width, rows, list, sure] as const),
    );
    const listed: number[] = [];
    let lines = 0;
    for (let y = 0; y < rows; y++) {
      for (let x = 0; x < width; x++) {
        const pixel = y * tileSide + x;
        const isSure = doubts[y * toldApart + x] <= most;
        if (isSure && marks[pixel] === 0) continue;
        if (isSure && marks[pixel] === lineMark && amount[pixel] >= least) lines++;
        else listed.push(pixel);
      }
    }
    expect(listedAt(list, count)).toEqual(listed);
    expect(arena.view(sure, 4)[0] + 256 * arena.view(sure, 4)[1]).toBe(lines);
  });

  it.each([
    ['covers', 1],
    ['darkens', 0],
  ])('adds up where it %s', (_, covers) => {
    const [over, amount, marks, least] = [tile(), amounts(), bytes(4), 40_000];
    const [overAt, at, marksAt] = placed(over, amount, marks);
    kernels.addLine(overAt, covers, at, marksAt, 1, least, tilePixels);
    for (let pixel = 0, i = 0; pixel < tilePixels; pixel++, i += 4) {
      if (over[i + 3] === 0) continue;
      const darkness = covers === 1 ? 1 : 1 - lumOf(over[i], over[i + 1], over[i + 2]) / full;
      const [before, more] = [amount[pixel], over[i + 3] * darkness];
      amount[pixel] = before + more - (before * more) / full + 0.5;
      if (amount[pixel] >= least) marks[pixel] |= 1;
    }
    expect(Buffer.compare(arena.view(at, tilePixels * 2), new Uint8Array(amount.buffer))).toBe(0);
    expect(Buffer.compare(arena.view(marksAt, tilePixels), marks)).toBe(0);
  });

  it.each([tilePixels, 333, 1])('is split from white paint, %i pixels', (count) => {
    const tolerance = blackTolerance(lineSettings);
    const from = tile().subarray(0, count * 4);
    const [paint, ink] = [new Uint16Array(count * 4), new Uint16Array(count * 4)];
    const [at, paintAt, inkAt] = placed(from, from, from);
    const found = kernels.splitLine(at, tolerance.chroma, tolerance.level, paintAt, inkAt, count);
    let [painted, inked] = [0, 0];
    for (let i = 0; i < from.length; i += 4) {
      const [red, green, blue, alpha] = from.subarray(i, i + 4);
      if (alpha === 0) continue;
      const most = Math.max(red, green, blue);
      const isColoured = most - Math.min(red, green, blue) > tolerance.chroma;
      if (isColoured || isBlack(red, green, blue, tolerance)) {
        ink.set(from.subarray(i, i + 4), i);
        inked = 2;
        continue;
      }
      splitPixel(from, i, most / full, paint, ink);
      painted = 1;
      if (ink[i + 3] !== 0) inked = 2;
    }
    expect(found).toBe(painted + inked);
    expect(Buffer.compare(arena.view(paintAt, count * 8), new Uint8Array(paint.buffer))).toBe(0);
    expect(Buffer.compare(arena.view(inkAt, count * 8), new Uint8Array(ink.buffer))).toBe(0);
  });

  it('is none on bare paper, whatever its opacity', () => {
    const paper = Uint16Array.from({ length: tilePixels * 4 }, (_, i) => (i % 4 === 3 ? sample() : full));
    expect(kernels.isPaper(...(placed(paper) as [number]), tilePixels)).not.toBe(0);
    paper.set([1, 2, 3, 0], 40);
    expect(kernels.isPaper(...(placed(paper) as [number]), tilePixels)).not.toBe(0);
    for (const at of [0, 5, tilePixels * 4 - 2]) {
      const speck = paper.slice();
      speck[at] = full - 1;
      speck[at | 3] = 9;
      expect(kernels.isPaper(...(placed(speck) as [number]), tilePixels)).toBe(0);
    }
  });
});

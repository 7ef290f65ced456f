import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp, { type Sharp } from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { fillsOrPage, isOneBit } from '../../../pipeline/reading/look-at-picture.js';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platehand-look-'));
});
afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

const [width, height] = [330, 500];

/** A small generator with a fixed start, so that every run draws the same. */
function seeded(start: number): () => number {
  let state = start;
  return () => {
    state = (Math.imul(state, 1103515245) + 12345) & 0x7fffffff;
    return state / 0x7fffffff;
  };
}

const svg = (body: string) =>
  sharp(
    Buffer.from(
      `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}"><rect width="100%" height="100%" fill="#fff"/>${body}</svg>`,
    ),
  ).removeAlpha();

const next = seeded(7);
const at = () => `${next() * width} ${next() * height}`;
const hue = () =>
  `hsl(${Math.floor(next() * 360)},${Math.floor(20 + next() * 70)}%,${Math.floor(45 + next() * 45)}%)`;

/** Fills as a flatter makes them. */
function fills(colours: number, edges: 'hard' | 'soft'): string {
  const palette = Array.from({ length: colours }, hue);
  const rendering = edges === 'hard' ? ' shape-rendering="crispEdges"' : '';
  const one = (each: number) =>
    `<path d="M${at()} L${at()} L${at()}Z" fill="${palette[each % colours]}"${rendering}/>`;
  return Array.from({ length: colours * 4 }, (_, each) => one(each)).join('');
}

const strokes = (count: number, ink = '#000') =>
  Array.from(
    { length: count },
    () =>
      `<path d="M${at()} C${at()} ${at()} ${at()}" fill="none" stroke="${ink}" stroke-width="${1 + next() * 2}"/>`,
  ).join('');

/** Paint: soft lights of many colours over each other. */
function paint(lights: number): string {
  const defs: string[] = [];
  const circles: string[] = [];
  for (let each = 0; each < lights; each += 1) {
    defs.push(
      `<radialGradient id="g${each}"><stop offset="0" stop-color="${hue()}"/><stop offset="1" stop-color="${hue()}"/></radialGradient>`,
    );
    circles.push(
      `<circle cx="${next() * width}" cy="${next() * height}" r="${30 + next() * 120}" fill="url(#g${each})"/>`,
    );
  }
  return `<defs>${defs.join('')}</defs>${circles.join('')}`;
}

const borders =
  '<path d="M6 6H324V494H6Z M6 166H324 M6 330H324" fill="none" stroke="#000" stroke-width="2"/>';

/** Colour work, as a file called flat may hold it, and what may be said about it; `not` is what would go wrong. */
const pictures: readonly (readonly [string, () => Sharp, 'png' | 'jpeg', RegExp])[] = [
  ['flat fills with hard edges', () => svg(fills(20, 'hard')), 'png', /^flat fills$/],
  ['flat fills with soft edges', () => svg(fills(12, 'soft')), 'png', /^flat fills$/],
  ['flat fills saved as JPEG', () => svg(fills(30, 'hard')), 'jpeg', /^(?:flat fills|unclear)$/],
  [
    'flat fills with panel borders',
    () => svg(fills(20, 'hard') + borders),
    'png',
    /^(?:flat fills|unclear)$/,
  ],
  [
    'flat fills as JPEG with panel borders',
    () => svg(fills(20, 'hard') + borders),
    'jpeg',
    /^(?:flat fills|unclear)$/,
  ],
  [
    'a page of brush line over colour',
    () => svg(fills(30, 'soft') + strokes(50)),
    'png',
    /^(?:a flattened page|unclear)$/,
  ],
  ['a hatched page', () => svg(fills(20, 'soft') + strokes(300)), 'png', /^a flattened page$/],
  [
    'a page of sepia line',
    () => svg(fills(25, 'soft') + strokes(70, '#5a3a20')),
    'png',
    /^(?:a flattened page|unclear)$/,
  ],
  ['a painted page with line', () => svg(paint(50) + strokes(40)), 'png', /^a flattened page$/],
  ['a painted page', () => svg(paint(50)), 'png', /^(?:a flattened page|unclear)$/],
  ['a page of line and few colours', () => svg(fills(3, 'hard') + strokes(25)), 'png', /^unclear$/],
  ['a page in grey', () => svg(paint(20) + strokes(30)).greyscale(), 'png', /^(?:a flattened page|unclear)$/],
];

describe('a picture called flat', () => {
  test.each(pictures)('%s is never taken for the other', async (name, draw, format, expected) => {
    const path = join(folder, `${name}.${format}`);
    await draw().toFormat(format).toFile(path);
    expect(await fillsOrPage(path)).toMatch(expected);
  });

  test('that cannot be read is unclear', async () => {
    const path = join(folder, 'broken.png');
    await writeFile(path, 'no picture');
    expect(await fillsOrPage(path)).toBe('unclear');
  });
});

describe('one bit a pixel', () => {
  const black = () => svg(strokes(10)).greyscale().threshold(128).toColourspace('b-w');
  const files: readonly (readonly [string, (path: string) => Promise<unknown>, boolean])[] = [
    ['fax.tif', (path) => black().tiff({ compression: 'ccittfax4', bitdepth: 1 }).toFile(path), true],
    [
      'white is zero.tif',
      (path) => black().tiff({ compression: 'ccittfax4', bitdepth: 1, miniswhite: true }).toFile(path),
      true,
    ],
    ['grey.tif', (path) => black().tiff({ compression: 'lzw' }).toFile(path), false],
    ['colour.tif', (path) => svg(fills(5, 'hard')).tiff().toFile(path), false],
    ['grey.png', (path) => black().png().toFile(path), false],
    ['photo.jpg', (path) => black().jpeg().toFile(path), false],
    ['cut short.tif', (path) => writeFile(path, 'II*\0\x08'), false],
    ['nothing.tif', (path) => writeFile(path, ''), false],
  ];
  test.each(files)('%s', async (name, write, expected) => {
    const path = join(folder, name);
    await write(path);
    expect(await isOneBit(path)).toBe(expected);
  });

  test('is read from the header of a PNG, and two colours of a palette are none', async () => {
    const header = (colourType: number) => {
      const bytes = Buffer.alloc(33);
      Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]).copy(bytes);
      bytes[24] = 1;
      bytes[25] = colourType;
      return bytes;
    };
    await writeFile(join(folder, 'one.png'), header(0));
    await writeFile(join(folder, 'palette.png'), header(3));
    expect(await isOneBit(join(folder, 'one.png'))).toBe(true);
    expect(await isOneBit(join(folder, 'palette.png'))).toBe(false);
    expect(await isOneBit(join(folder, 'gone.png'))).toBe(false);
  });
});

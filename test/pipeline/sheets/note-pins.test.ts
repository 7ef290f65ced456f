import { expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { StandingNote } from '../../../pipeline/model/page-notes.js';
import { canvasOf } from '../../../pipeline/sheets/drawing.js';
import { drawPins } from '../../../pipeline/sheets/note-pins.js';
import { drawGridEdges } from '../../../pipeline/sheets/proof-grid.js';

const arena = new PageArena();
const side = 200;
// A trim of 200 pixels at 25.4 pixels an inch: a millimetre is a pixel.
const trim = { widthMm: side, heightMm: side };
const page = { left: 0, top: 0, width: side, height: side };
const on = { page, spec: { trim }, ppi: 25.4, em: 12, hair: 1 };

function note(number: number, xMm: number, yMm: number, state: StandingNote['state'] = 'open'): StandingNote {
  return { name: `r1-7-${number}`, number, round: 1, text: '', place: { xMm, yMm }, state };
}

/** Lettering, as rough as it comes, left of the middle, and a flat ground right of it. */
function halfLettered() {
  const canvas = canvasOf(side, side, 200, arena);
  for (let y = 0; y < side; y++) {
    for (let x = 0; x < side / 2; x++)
      canvas.data.fill((x >> 1) % 2 === (y >> 1) % 2 ? 0 : 255, (y * side + x) * 3, (y * side + x) * 3 + 3);
  }
  return canvas;
}

/** Pixels that are the colour of pins, as a share of those left and right of the middle. */
function painted(data: Uint8Array) {
  const count = { left: 0, right: 0 };
  for (let i = 0; i < side * side; i++) {
    const [red, green, blue] = data.subarray(i * 3, i * 3 + 3);
    if (red === 0x6a && green === 0x2a && blue === 0x9c) count[i % side < side / 2 ? 'left' : 'right']++;
  }
  return count;
}

test('the head of a pin stands beside lettering, and not upon it', async () => {
  const canvas = halfLettered();
  await drawPins(canvas, [note(1, side / 2 + 1, 100)], on, arena);
  const { left, right } = painted(canvas.data);
  expect(right).toBeGreaterThan(60);
  expect(left).toBe(0);
});

test('pins of one place keep clear of each other, and those at an edge stay on the proof', async () => {
  const count = async (notes: readonly StandingNote[]) => {
    const canvas = canvasOf(side, side, 200, arena);
    await drawPins(canvas, notes, on, arena);
    const { left, right } = painted(canvas.data);
    return left + right;
  };
  const one = await count([note(1, 100, 100)]);
  expect(one).toBeGreaterThan(60);
  expect(await count([note(1, 100, 100), note(1, 100, 100), note(1, 100, 100)])).toBeGreaterThan(2.5 * one);
  expect(await count([note(1, 0, 0)])).toBeGreaterThan(0.8 * one);
  expect(await count([note(1, 100, 100, 'answered')])).toBeLessThan(0.8 * one);
});

test.each([
  ['a page', 24, 376],
  ['a spread', 24, 776],
])('the grid of %s lies outside the bleed', (_name, from, to) => {
  const inside = { left: from, top: from, width: to - from, height: 500 };
  const cut = { left: from + 10, top: from + 10, width: to - from - 20, height: 480 };
  const drawn = drawGridEdges(
    { page: inside, trim: cut, em: 12, hair: 1 },
    { widthMm: 2 * (to - from), heightMm: 400 },
  );
  const points = [...drawn.matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)].map(([, x, y]) => [Number(x), Number(y)]);
  expect(points.length).toBeGreaterThan(200);
  const within = points.filter(([x, y]) => x > from && x < to && y > from && y < from + 500);
  expect(within).toEqual([]);
});

import { expect, test } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { drawOver, type RowShapes } from '../../../pipeline/sheets/draw-over.js';
import { box, canvasOf, fill } from '../../../pipeline/sheets/drawing.js';

/** So large that it is drawn in parts. */
const [width, height] = [1000, 9000];

test('shapes that are drawn only for the rows that they touch look as if all were drawn everywhere', async () => {
  const shapes: RowShapes[] = Array.from({ length: 60 }, (_, at) => {
    const top = at * 149.5;
    return { shapes: fill(box(at * 9, top, 300, 160), '#204060', 0.5), top, bottom: top + 160 };
  });
  const drawn = await Promise.all(
    [shapes, shapes.map((one) => one.shapes)].map(async (each) => {
      const arena = new PageArena();
      const canvas = canvasOf(width, height, 237, arena);
      await drawOver(canvas, [fill(box(400, 0, 20, height), '#000000'), ...each], arena);
      return Buffer.from(canvas.data);
    }),
  );
  expect(drawn[0].equals(drawn[1])).toBe(true);
  // Something of each part is there.
  for (const row of [100, 4500, 8900]) expect(drawn[0][(row * width + 410) * 3]).toBeLessThan(40);
});

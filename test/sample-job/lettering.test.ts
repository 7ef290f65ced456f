import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { packageRoot } from '../../config/package-root.js';
import { letterOf } from '../../sample-job/ink/alphabet.js';
import { lineStrokes, lineWidth } from '../../sample-job/ink/lettering.js';

test('every letter stays within its field, but for tails below the line', () => {
  for (const character of "ABCDEFGHIJKLMNOPQRSTUVWXYZ01234.,!?'-:#") {
    const { width, strokes } = letterOf(character);
    for (const way of strokes) {
      for (const pair of way.replace('~', '').split(' ')) {
        const [x, y] = pair.split(',').map(Number);
        expect(x >= 0 && x <= width && y >= 0 && y <= 12, `${character} at ${pair}`).toBe(true);
      }
    }
  }
});

test('a letter that nobody drew is an error, not a hole in the word', () => {
  expect(() => letterOf('é')).toThrow("no letter 'é'");
});

test('a line is as wide as its letters and the gaps between', () => {
  expect(lineWidth('II', 10)).toBeCloseTo(1.2 + 2 + 1.2, 6);
  expect(lineStrokes('HI', [0, 0], { size: 10 })).toHaveLength(4);
});

test('no page of the sample uses SVG text, which needs fonts that a bare machine lacks', () => {
  const folder = join(packageRoot(), 'sample-job');
  for (const name of readdirSync(folder, { recursive: true, encoding: 'utf8' })) {
    if (!name.endsWith('.ts')) continue;
    expect(readFileSync(join(folder, name), 'utf8').includes('<text'), name).toBe(false);
  }
});

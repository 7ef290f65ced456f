import { describe, expect, it } from 'vitest';
import { piecesWithSeeds } from '../../../pipeline/line/connected.js';
import { bitsOf, plateOfBits } from '../../helpers/rasters.js';

/** Rows of a mask: `#` set, `o` set and a seed, anything else not set. */
function pieces(...rows: readonly string[]): string[] {
  const [width, height] = [rows[0].length, rows.length];
  const text = rows.join('');
  const maskOf = (signs: string) =>
    bitsOf({ width, height, data: Uint8Array.from(text, (each) => (signs.includes(each) ? 255 : 0)) });
  const found = plateOfBits(piecesWithSeeds(maskOf('#o'), maskOf('o'))).data;
  return rows.map((_, y) =>
    Array.from(found.subarray(y * width, (y + 1) * width), (v) => (v === 255 ? '#' : '.')).join(''),
  );
}

describe('the pieces of a mask that hold a seed', () => {
  it('are kept whole, and the others left out', () => {
    expect(pieces('##..##', '#o..##', '......', '###..o')).toEqual(['##....', '##....', '......', '.....#']);
  });

  it('reach up, down and around bends', () => {
    expect(pieces('#####', '#...#', '#.#.#', '#.#.o', '#.###')).toEqual([
      '#####',
      '#...#',
      '#.#.#',
      '#.#.#',
      '#.###',
    ]);
  });

  it('do not hang together by corners, nor from the end of a row to the start of the next', () => {
    expect(pieces('..o', '##.', '...')).toEqual(['..#', '...', '...']);
    expect(pieces('..o', '#..')).toEqual(['..#', '...']);
  });

  it('join late, where two branches meet below', () => {
    expect(pieces('#.#.#', '#.#.#', '#.###', '###.o')).toEqual(['#.#.#', '#.#.#', '#.###', '###.#']);
  });

  it.each([31, 32, 33, 63, 64, 65, 129])('are found whole in rows of %i pixels', (width) => {
    const run = '#'.repeat(width - 1);
    expect(pieces(`${run}o`, '.'.repeat(width), `${run}#`)).toEqual([
      '#'.repeat(width),
      '.'.repeat(width),
      '.'.repeat(width),
    ]);
  });

  it('are none without a seed', () => {
    expect(pieces('###', '###')).toEqual(['...', '...']);
  });
});

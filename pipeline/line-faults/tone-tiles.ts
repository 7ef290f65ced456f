import { wordsOf } from '../line/bitmap.js';
import type { Bitmap } from '../model/raster.js';
import { emptySpectrum, type Spectrum, transform } from '../register/fft.js';
import { bitCount } from './pieces.js';

/** A line plate in square tiles, small enough that a tone fills some and large enough that its dots are counted well. */

/** Cells of a tile, each way: a power of two. */
export const tileCells = 64;

/** Side of a tile at 600 ppi, in pixels: 5.4 mm, in cells of two pixels. */
const cellAt600Px = 2;

/** Ink shares between which there is tone, and how long the edges of ink are in it at least, in pixels a pixel. Own choice. */
const leastInk = 0.02;
const leastEdges = 0.04;

/** A wave on the plate: cycles across and down a cell. */
export interface Wave {
  readonly across: number;
  readonly down: number;
}

/** Tapers a tile towards its sides, so that what is cut off there does not look like a wave. */
const taper = Float64Array.from(
  { length: tileCells },
  (_, at) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (at + 0.5)) / tileCells),
);

/** The tiles of a plate. */
export class ToneTiles {
  readonly columns: number;
  readonly rows: number;
  /** Side of a cell in pixels of the plate. */
  readonly cellPx: number;
  /** Tiles that may hold tone: some ink, and many edges of it. */
  readonly mayHold: Uint8Array;
  private readonly words: Uint32Array;
  private readonly wordsInRow: number;
  private readonly grids = new Map<number, Float32Array>();
  private readonly spectrum = emptySpectrum(tileCells, tileCells);
  private readonly turned = new WeakMap<Wave, Turns>();

  constructor(line: Bitmap, ppi: number) {
    this.cellPx = cellAt600Px * Math.max(1, Math.round(ppi / 600));
    const side = this.sidePx;
    this.columns = Math.floor(line.width / side);
    this.rows = Math.floor(line.height / side);
    this.words = wordsOf(line);
    this.wordsInRow = line.rowBytes >> 2;
    this.mayHold = Uint8Array.from({ length: this.columns * this.rows }, (_, tile) =>
      this.looksToned(tile) ? 1 : 0,
    );
  }

  /** Side of a tile in pixels. */
  get sidePx(): number {
    return tileCells * this.cellPx;
  }

  private looksToned(tile: number): boolean {
    const { words, wordsInRow, sidePx } = this;
    const [first, top] = this.cornerOf(tile);
    let [ink, edges] = [0, 0];
    // Every other row tells enough.
    for (let y = top + 1; y < top + sidePx; y += 2) {
      const row = y * wordsInRow;
      for (let at = row + first; at < row + first + sidePx / 32; at++) {
        const [word, above] = [words[at], words[at - wordsInRow]];
        if (word === 0 && above === 0) continue;
        ink += bitCount(word);
        edges += bitCount(word ^ above) + bitCount((word ^ (word << 1)) & ~1);
      }
    }
    const seen = (sidePx * sidePx) / 2;
    return ink >= leastInk * seen && ink <= (1 - leastInk) * seen && edges >= leastEdges * seen;
  }

  /** The first word of a tile's rows, and its first row. */
  private cornerOf(tile: number): [number, number] {
    const [column, row] = [tile % this.columns, Math.floor(tile / this.columns)];
    return [(column * this.sidePx) / 32, row * this.sidePx];
  }

  /** How far the ink of each cell is from that of the tile as a whole, tapered towards its sides. */
  gridOf(tile: number): Float32Array {
    const known = this.grids.get(tile);
    if (known !== undefined) return known;
    const grid = this.inkOf(tile);
    const mean = grid.reduce((sum, ink) => sum + ink, 0) / grid.length;
    for (let y = 0, i = 0; y < tileCells; y++) {
      for (let x = 0; x < tileCells; x++, i++) grid[i] = (grid[i] - mean) * taper[x] * taper[y];
    }
    this.grids.set(tile, grid);
    return grid;
  }

  private inkOf(tile: number): Float32Array {
    const { words, wordsInRow, cellPx, sidePx } = this;
    const [first, top] = this.cornerOf(tile);
    const grid = new Float32Array(tileCells * tileCells);
    const mask = 2 ** cellPx - 1;
    for (let y = 0; y < sidePx; y++) {
      const row = (top + y) * wordsInRow + first;
      const to = Math.floor(y / cellPx) * tileCells;
      for (let x = 0, cell = to; x < sidePx; x += cellPx, cell++) {
        grid[cell] += bitCount((words[row + (x >> 5)] >>> (x & 31)) & mask);
      }
    }
    return grid;
  }

  /** The waves of two tiles, which share a transform: power by frequency of each, half a plane: across -32 to 31, down 0 to 32. */
  powersOf(one: number, other: number): [Float64Array, Float64Array] {
    const { spectrum } = this;
    spectrum.re.set(this.gridOf(one));
    spectrum.im.set(this.gridOf(other));
    transform(spectrum);
    return apart(spectrum);
  }

  /** Worked out once for a wave, which is looked for in many tiles. */
  private turnsOf(wave: Wave): Turns {
    const known = this.turned.get(wave) ?? [...turns(wave.across), ...turns(wave.down)];
    this.turned.set(wave, known);
    return known;
  }

  /** How strong a wave is in a tile and where it stands: as a complex number, and as a share of all that varies there. */
  waveIn(tile: number, wave: Wave): { re: number; im: number; share: number } {
    const grid = this.gridOf(tile);
    const [cos, sin, cosDown, sinDown] = this.turnsOf(wave);
    let [re, im, power] = [0, 0, 0];
    for (let y = 0, i = 0; y < tileCells; y++) {
      let [rowRe, rowIm] = [0, 0];
      for (let x = 0; x < tileCells; x++, i++) {
        const value = grid[i];
        rowRe += value * cos[x];
        rowIm -= value * sin[x];
        power += value * value;
      }
      re += rowRe * cosDown[y] + rowIm * sinDown[y];
      im += rowIm * cosDown[y] - rowRe * sinDown[y];
    }
    // A wave alone, tapered so, has 4 / 9 of its power in the middle of its peak, and as much on the other side of the spectrum.
    const all = (4 / 9) * tileCells * tileCells * power;
    return { re, im, share: all === 0 ? 0 : (2 * (re * re + im * im)) / all };
  }
}

/** Cosine and sine of a wave in each column, and in each row. */
type Turns = readonly [Float64Array, Float64Array, Float64Array, Float64Array];

function turns(frequency: number): [Float64Array, Float64Array] {
  const turn = (at: number) => 2 * Math.PI * frequency * at;
  const cos = Float64Array.from({ length: tileCells }, (_, at) => Math.cos(turn(at)));
  const sin = Float64Array.from({ length: tileCells }, (_, at) => Math.sin(turn(at)));
  return [cos, sin];
}

/** The powers of two real pictures that were transformed as the real and the imaginary part of one. */
function apart({ re, im }: Spectrum): [Float64Array, Float64Array] {
  const size = tileCells;
  const rows = size / 2 + 1;
  const [one, other] = [new Float64Array(size * rows), new Float64Array(size * rows)];
  for (let v = 0; v < rows; v++) {
    for (let u = 0; u < size; u++) {
      const at = v * size + u;
      const back = ((size - v) % size) * size + ((size - u) % size);
      const to = v * size + ((u + size / 2) % size);
      one[to] = ((re[at] + re[back]) ** 2 + (im[at] - im[back]) ** 2) / 4;
      other[to] = ((im[at] + im[back]) ** 2 + (re[at] - re[back]) ** 2) / 4;
    }
  }
  return [one, other];
}

import type { KernelMemory } from '../kernels/kernel-memory.js';
import { emptyBitmap, findChanges, without, wordsOf } from '../line/bitmap.js';
import { setRun } from '../line/connected.js';
import { type Bitmap, isSet } from '../model/raster.js';
import { type ColourRuns, endOf } from './colour-runs.js';

/** Where flats end on bare ground: what lies across it. */
export interface GroundEdges {
  /** Ground that shows: that is not beneath the line. */
  readonly shown: Bitmap;
  /** Ground between two flats that are no farther apart than what is looked for. */
  readonly slits: Bitmap;
  /** The first pixel of ground beside a flat that ends at the edge of the line, or before it by no more than that. */
  readonly shorts: Bitmap;
}

/** The ground of a picture as a mask. */
function groundOf(runs: ColourRuns): Bitmap {
  const mask = emptyBitmap(runs);
  const words = wordsOf(mask);
  for (let y = 0; y < runs.height; y++) {
    for (let run = runs.rows[y]; run < runs.rows[y + 1]; run++) {
      if (runs.colours[run] !== runs.ground) continue;
      setRun(words, y * (mask.rowBytes >> 2), runs.starts[run], endOf(runs, run, y));
    }
  }
  return mask;
}

/** Walks from every flat that ends on bare ground straight on, up to so many pixels. */
export function walkGround(
  runs: ColourRuns,
  ink: Bitmap | undefined,
  reachPx: number,
  memory: KernelMemory,
): GroundEdges {
  const ground = groundOf(runs);
  const shown = ink === undefined ? ground : without(ground, ink, memory);
  const walk = new Walk(ground, ink, reachPx);
  fromSides(ground, (x, y, step) => walk.across(x, y, step));
  fromAboveAndBelow(ground, (x, y, step) => walk.down(x, y, step));
  return { shown, slits: walk.slits, shorts: walk.shorts };
}

/** A pixel of ground beside a flat, and the step that leads away from it. */
type Visit = (x: number, y: number, step: 1 | -1) => void;

function fromSides(ground: Bitmap, visit: Visit): void {
  const words = wordsOf(ground);
  const inRow = ground.rowBytes >> 2;
  const changes = new Uint32Array(ground.width + 1);
  for (let y = 0; y < ground.height; y++) {
    const count = findChanges(words, y * inRow, inRow, changes);
    for (let i = 0; i < count; i += 2) {
      if (changes[i] > 0) visit(changes[i], y, 1);
      if (i + 1 < count && changes[i + 1] < ground.width) visit(changes[i + 1] - 1, y, -1);
    }
  }
}

function fromAboveAndBelow(ground: Bitmap, visit: Visit): void {
  const words = wordsOf(ground);
  const inRow = ground.rowBytes >> 2;
  for (let y = 0; y < ground.height; y++) {
    for (let word = 0; word < inRow; word++) {
      const own = words[y * inRow + word];
      if (own === 0) continue;
      const above = y === 0 ? own : words[(y - 1) * inRow + word];
      const below = y + 1 === ground.height ? own : words[(y + 1) * inRow + word];
      for (let rest = own & ~above; rest !== 0; rest &= rest - 1) visit(columnOf(word, rest), y, 1);
      for (let rest = own & ~below; rest !== 0; rest &= rest - 1) visit(columnOf(word, rest), y, -1);
    }
  }
}

/** The column of the lowest bit of a word of a row. */
function columnOf(word: number, bits: number): number {
  return word * 32 + 31 - Math.clz32(bits & -bits);
}

class Walk {
  readonly slits: Bitmap;
  readonly shorts: Bitmap;

  constructor(
    private readonly ground: Bitmap,
    private readonly ink: Bitmap | undefined,
    private readonly reachPx: number,
  ) {
    this.slits = emptyBitmap(ground);
    this.shorts = emptyBitmap(ground);
  }

  across(x: number, y: number, step: number): void {
    this.from(x, y, step, 0);
  }

  down(x: number, y: number, step: number): void {
    this.from(x, y, 0, step);
  }

  /** Walks on from the first pixel of ground. A flat that reaches beneath the line has done all that is asked of it there. */
  private from(x: number, y: number, right: number, down: number): void {
    const isBeneath = this.isInk(x - right, y - down);
    if (this.isInk(x, y)) {
      if (!isBeneath) set(this.shorts, x, y);
      return;
    }
    const { width, height } = this.ground;
    for (let walked = 1; walked <= this.reachPx; walked++) {
      const [toX, toY] = [x + walked * right, y + walked * down];
      if (toX < 0 || toY < 0 || toX >= width || toY >= height) return;
      if (!isSet(this.ground, toX, toY)) {
        for (let at = 0; at < walked; at++) set(this.slits, x + at * right, y + at * down);
        return;
      }
      if (this.isInk(toX, toY)) {
        if (!isBeneath) set(this.shorts, x, y);
        return;
      }
    }
  }

  private isInk(x: number, y: number): boolean {
    return this.ink !== undefined && isSet(this.ink, x, y);
  }
}

function set({ rowBytes, bits }: Bitmap, x: number, y: number): void {
  bits[y * rowBytes + (x >> 3)] |= 1 << (x & 7);
}

import type { PixelBox, SizePx } from '../../config/units.js';
import { addEdges, type Edges } from './edges.js';
import { halvingWeights, pairBytes } from './halve-across.js';
import type { PageArena } from './page-arena.js';

/** The part of a picture that is halved, and what becomes of it. */
export interface HalvedPart {
  /** Within the picture; twice as wide and high as `size`. */
  readonly crop: PixelBox;
  readonly size: SizePx;
  /** Pixels that are then repeated around it. */
  readonly edges: Edges | undefined;
}

const channels = 3;
/** Rows that a result asks for above its own two, and below. */
const reach = 5;
/** Rows that a result is made of. */
const asked = 2 * reach + 2;

/**
 * Halves a picture of rgb, 8 bit, while it is written row by row, with Lanczos of three lobes: the same numbers as the image
 * library's, without the whole picture ever being in memory. As it does, rows come first, and what they give is rounded.
 */
export class HalvedRows {
  /** Of what comes of it, its edges included. */
  readonly size: SizePx;
  /** size.width x size.height x 3, complete after the last row; it outlives the arena's scope. */
  readonly data: Uint8Array;
  /** Rows that are still asked for, `reach` of them before the first, and those that are being written. */
  private readonly rows: Uint8Array;
  private held = reach;
  /** Rows of the picture that came, and results that were made. */
  private came = 0;
  private made = 0;
  private readonly rowBytes: number;
  private readonly narrowBytes: number;

  /**
   * @param width of the picture that comes
   * @param most rows that come at a time
   */
  constructor(
    width: number,
    most: number,
    private readonly part: HalvedPart,
    private readonly arena: PageArena,
  ) {
    const { size, edges } = part;
    this.rowBytes = width * channels;
    this.narrowBytes = size.width * channels;
    const [across, down] = edges ? [edges.left + edges.right, edges.top + edges.bottom] : [0, 0];
    this.size = { width: size.width + across, height: size.height + down };
    const bytes = this.size.width * channels * this.size.height;
    this.data = arena.outlive(arena.nextAddress(), bytes) ?? new Uint8Array(bytes);
    this.rows = arena.allocate((asked + most + reach + 1) * this.rowBytes);
  }

  /** Where the next rows are to be written. @param count at most as many as come at a time */
  begin(count: number): Uint8Array {
    const from = this.held * this.rowBytes;
    return this.rows.subarray(from, from + count * this.rowBytes);
  }

  /** They have been written. */
  end(count: number): void {
    const { crop, edges, size } = this.part;
    const first = Math.max(crop.top - this.came, 0);
    const behind = Math.min(crop.top + crop.height - this.came, count);
    const isFirst = this.came + first === crop.top;
    this.came += count;
    if (first >= behind) return;
    if (first > 0) this.copy(this.held + first, this.held, behind - first);
    if (isFirst) for (let row = 0; row < reach; row++) this.copy(reach, row, 1);
    this.held += behind - first;
    const isLast = this.came >= crop.top + crop.height;
    for (let i = 0; isLast && i <= reach; i++, this.held++) this.copy(this.held - 1, this.held, 1);
    this.halve(Math.floor((this.held - asked) / 2) + 1);
    if (isLast && edges !== undefined) addEdges(this.data, channels, size, edges);
  }

  /** Becomes what another one of the same picture is so far. */
  follow(other: HalvedRows): void {
    this.data.set(other.data);
    this.rows.set(other.rows);
    this.held = other.held;
    this.came = other.came;
    this.made = other.made;
  }

  private copy(from: number, to: number, count: number): void {
    const { rows, rowBytes } = this;
    rows.copyWithin(to * rowBytes, from * rowBytes, (from + count) * rowBytes);
  }

  private halve(results: number): void {
    if (results <= 0) return;
    const { arena, part, rows, rowBytes, narrowBytes } = this;
    const { width } = part.size;
    const [wide, place, to, weights, pairs] = arena.scratch(
      results * 2 * narrowBytes,
      rows.length,
      results * narrowBytes,
      halvingWeights.byteLength,
      pairBytes(width),
    );
    arena.addressOf(new Uint16Array(halvingWeights.buffer), weights);
    const from = arena.addressOf(rows, place) + part.crop.left * channels;
    arena.kernels.halveDown(from, rowBytes, 2 * narrowBytes, results, wide, weights);
    const narrow = this.data.subarray(this.made * narrowBytes, (this.made + results) * narrowBytes);
    const at = arena.writableAddress(narrow, to);
    arena.kernels.halveAcross(wide, width, results, at, weights, pairs);
    arena.store(at, narrow);
    this.made += results;
    this.copy(2 * results, 0, this.held - 2 * results);
    this.held -= 2 * results;
  }
}

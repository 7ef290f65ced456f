import { type HalvedPart, HalvedRows } from '../kernels/halved-rows.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Raster } from '../model/raster.js';
import { type TileGrid, tileSide } from './tiles.js';

type Samples = Raster['data'];

/** Where a page is written, so many rows after the others. */
export interface PageRows {
  /** Where the next rows are to be written: rows x width x 3. */
  begin(count: number): Samples;
  /** They have been written. */
  end(count: number): void;
  /** rgb without alpha, complete after the last row. */
  raster(): Raster;
}

/** Where a page is written as it prints in colour, and as it looks with its line. */
export interface PagePlaces {
  readonly colour: PageRows;
  /** Goes on from where the colour is: without line, they are the same. Called before the first row with line, if any has it. */
  readonly painted: () => PageRows;
}

/** A page at its own size. */
export class WholeRows implements PageRows {
  private at = 0;
  /** Where rows are put together that cannot be written in their place. */
  private spare: Samples | undefined;

  /**
   * @param data width x height x 3 samples
   * @param isApart whether no tile stands there: then nothing need be put together beside it
   */
  constructor(
    private readonly grid: TileGrid,
    private readonly data: Samples,
    private readonly isApart: boolean,
    private readonly arena: PageArena,
  ) {}

  begin(count: number): Samples {
    const samples = count * this.grid.width * 3;
    // Where kernels reach a page and no tile stands there, rows are written in their place.
    if (this.isApart && this.arena.has(this.data)) return this.data.subarray(this.at, this.at + samples);
    this.spare ??= this.spareRows();
    return this.spare.subarray(0, samples);
  }

  end(count: number): void {
    const samples = count * this.grid.width * 3;
    if (this.spare !== undefined) this.data.set(this.spare.subarray(0, samples), this.at);
    this.at += samples;
  }

  raster(): Raster {
    const { width, height } = this.grid;
    return { width, height, model: 'rgb', alpha: false, data: this.data };
  }

  /** Another one, which is the same so far. @param place undefined takes memory of its own */
  another(place: Samples | undefined): WholeRows {
    const { data, grid, at } = this;
    const copy =
      place ?? (data instanceof Uint8Array ? new Uint8Array(data.length) : new Uint16Array(data.length));
    copy.set(data.subarray(0, at));
    const rows = new WholeRows(grid, copy, this.isApart, this.arena);
    rows.at = at;
    return rows;
  }

  private spareRows(): Samples {
    const samples = tileSide * this.grid.width * 3;
    return this.data instanceof Uint8Array ? this.arena.allocate(samples) : new Uint16Array(samples);
  }
}

/** A page of 8 bit at half its size, cut to what prints. */
export class HalfRows implements PageRows {
  private readonly rows: HalvedRows;

  constructor(grid: TileGrid, part: HalvedPart, arena: PageArena) {
    this.rows = new HalvedRows(grid.width, tileSide, part, arena);
  }

  begin(count: number): Uint8Array {
    return this.rows.begin(count);
  }

  end(count: number): void {
    this.rows.end(count);
  }

  raster(): Raster {
    const { size, data } = this.rows;
    return { ...size, model: 'rgb', alpha: false, data };
  }

  /** Becomes what another one of the same page is so far. */
  follow(other: HalfRows): void {
    this.rows.follow(other.rows);
  }
}

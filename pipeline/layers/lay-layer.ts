import type { Part } from '../../config/job.js';
import type { Layer } from '../model/working-page.js';
import { clearsOutside, full16 } from './blend.js';
import { type Canvas, type LineRule, layLine, layPaint } from './canvas.js';
import { splitLineTile } from './ink-split.js';
import { LayerReader, type LayerSource } from './layer-reader.js';
import { cutTile, edgePx, splitLettering } from './lettering.js';
import type { LetteringMarks } from './lettering-marks.js';
import { isOpaque } from './tile-pool.js';
import {
  type Box,
  placedBox,
  type Tile,
  tileBox,
  tilePixels,
  tileSamples,
  tileSide,
  tilesOfRow,
  tilesUnder,
} from './tiles.js';

/** What laying a layer needs to know of the page. */
export interface LayRules {
  readonly rule: LineRule;
  readonly lettering: LetteringMarks;
}

/** A layer that is laid onto its canvas, one row of tiles after the other. */
export class LayingLayer {
  /** Whether any of it lies on the page. */
  readonly isOnPage: boolean;
  /** Whether any pixel of what was laid shows. */
  shows = false;
  private readonly box: Box;
  private readonly reader: LayerReader;
  private readonly isLettering: boolean;
  private strip: LetteringStrip | undefined;

  /** @param part what its name, or that of its group, speaks of */
  constructor(
    private readonly layer: Layer,
    source: LayerSource,
    private readonly part: Part | undefined,
    private readonly canvas: Canvas,
    private readonly rules: LayRules,
  ) {
    const opacity = Math.min(1, Math.max(0, layer.opacity));
    const placed = { raster: source, x: layer.x, y: layer.y, opacity };
    this.box = placedBox(canvas.grid, placed);
    this.isOnPage = this.box.left < this.box.right && this.box.top < this.box.bottom;
    this.reader = new LayerReader(placed, canvas.pool);
    // The two modes under which black over paint looks like the one pixel that both came from.
    this.isLettering = part === 'lettering' && (layer.blend === 'src-over' || layer.blend === 'multiply');
  }

  /** Lays what lies on a row of tiles; rows come in order. @throws PlatehandError `picture-unreadable`, `picture-unsupported` */
  async layRow(row: number): Promise<void> {
    const tiles = this.tilesOf(row);
    if (tiles.length === 0) return;
    const [top, bottom] = [row * tileSide, Math.min((row + 1) * tileSide, this.canvas.grid.height)];
    if (this.isLettering) {
      await this.reader.bring(top - edgePx, Math.min(bottom + edgePx, this.canvas.grid.height));
      if (this.layLettering(row)) this.shows = true;
      return;
    }
    await this.reader.bring(top, bottom);
    const shows = this.part === 'line' ? this.layLine(tiles) : this.layPaint(tiles);
    if (shows) this.shows = true;
  }

  /** Makes sure that all of it was whole. @throws PlatehandError `picture-unreadable` */
  end(): Promise<void> {
    return this.reader.end();
  }

  /** The tiles of a row that it may change. */
  private tilesOf(row: number): readonly number[] {
    const { grid } = this.canvas;
    if (clearsOutside(this.layer.blend) && !this.isLettering) return tilesOfRow(grid, row);
    const { left, top, right, bottom } = this.box;
    const box = {
      ...{ left, right },
      top: Math.max(top, row * tileSide),
      bottom: Math.min(bottom, (row + 1) * tileSide),
    };
    return tilesUnder(grid, box);
  }

  /** Lays paint, tile by tile; says whether any pixel of it shows. */
  private layPaint(tiles: readonly number[]): boolean {
    const { canvas, reader } = this;
    const { blend: mode } = this.layer;
    const over = canvas.pool.acquire();
    let shows = false;
    for (const index of tiles) {
      const tileShows = reader.read(tileBox(canvas.grid, index), over, tileSide);
      if (tileShows || clearsOutside(mode)) layPaint(canvas, index, mode, over);
      shows = shows || tileShows;
    }
    canvas.pool.release(over);
    return shows;
  }

  /** Lays line, tile by tile; white paint among it, such as corrections, is laid as the paint that it is. */
  private layLine(tiles: readonly number[]): boolean {
    const { canvas, reader, rules } = this;
    const { rule } = rules;
    const { blend: mode } = this.layer;
    const { pool } = canvas;
    const [over, paint, ink] = [pool.acquire(), pool.acquire(), pool.acquire()];
    let shows = false;
    for (const index of tiles) {
      const tileShows = reader.read(tileBox(canvas.grid, index), over, tileSide);
      shows = shows || tileShows;
      if (mode !== 'src-over') {
        if (mode === 'multiply' && changesNothing(over, canvas, index)) continue;
        if (tileShows || clearsOutside(mode)) layLine(canvas, index, mode, over, rule);
      } else if (tileShows) {
        const split = splitLineTile(over, rule.tolerance, paint, ink, pool.arena);
        if (split.paint) layPaint(canvas, index, mode, paint);
        if (split.ink) layLine(canvas, index, mode, ink, rule);
      }
    }
    pool.release(over, paint, ink);
    return shows;
  }

  /** Lays lettering: balloons as paint, then their black text and outlines as line. */
  private layLettering(row: number): boolean {
    const { canvas, layer, rules } = this;
    const { grid, pool } = canvas;
    this.strip ??= letteringStrip(canvas);
    const { width, rows, pixels, paint, ink } = this.strip;
    const top = row * tileSide - edgePx;
    const bottom = Math.min(top + rows, grid.height);
    if (!this.reader.read({ left: 0, top, right: grid.width, bottom }, pixels, width)) return false;
    const isMultiplied = layer.blend === 'multiply';
    rules.lettering.mark(pixels.subarray(edgePx * width * 4), width, top + edgePx, tileSide, isMultiplied);
    splitLettering({ width, rows, pixels }, rules.rule.tolerance, paint, ink);
    const piece = pool.acquire();
    for (const [column, index] of tilesOfRow(grid, row).entries()) {
      if (cutTile(paint, width, column, piece)) layPaint(canvas, index, layer.blend, piece);
      if (cutTile(ink, width, column, piece)) layLine(canvas, index, layer.blend, piece, rules.rule);
    }
    pool.release(piece);
    return true;
  }
}

/** A row of tiles of lettering with what lies beside it, and what becomes of it. */
interface LetteringStrip {
  readonly width: number;
  readonly rows: number;
  readonly pixels: Uint16Array;
  readonly paint: Uint16Array;
  readonly ink: Uint16Array;
}

function letteringStrip({ grid, pool }: Canvas): LetteringStrip {
  const width = grid.columns * tileSide;
  const rows = tileSide + 2 * edgePx;
  const pixels = pool.pixels(width * rows);
  return { width, rows, pixels, paint: new Uint16Array(pixels.length), ink: new Uint16Array(pixels.length) };
}

/** Bare paper of scanned inks, multiplied onto opaque paint without line: most tiles of most pages. */
function changesNothing(over: Tile, canvas: Canvas, index: number): boolean {
  const under = canvas.full[index];
  if (under === undefined || canvas.lines[index] !== undefined) return false;
  const isFilled = isOpaque(under);
  const { arena } = canvas.pool;
  if (isFilled && arena.has(over)) return arena.kernels.isPaper(over.byteOffset, tilePixels) !== 0;
  for (let i = 0; i < tileSamples; i += 4) {
    if (over[i + 3] === 0) continue;
    const isPaper = over[i] === full16 && over[i + 1] === full16 && over[i + 2] === full16;
    if (!isPaper || (!isFilled && under[i + 3] !== full16)) return false;
  }
  return true;
}

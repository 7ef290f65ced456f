import type { Raster } from '../model/raster.js';
import type { Canvas, LineRule } from './canvas.js';
import { LineJudge, type LinePlaces, type SplitLine } from './line-judge.js';
import type { PagePlaces } from './page-rows.js';
import { PaperRows } from './paper-rows.js';
import { tilesOfRow } from './tiles.js';

/** A page split into what prints in colour and what prints as black line. */
export interface SplitPage extends SplitLine {
  readonly colour: Raster;
  /** As it looks, line included; undefined for a page without line. */
  readonly painted: Raster | undefined;
}

/** What is known of a page before it is split. */
export interface SplitFrame {
  /** Whether the stack has a layer of line or lettering at all. */
  readonly hasLine: boolean;
  readonly places: PagePlaces;
  /** undefined takes memory of its own for the line. */
  readonly linePlaces: LinePlaces | undefined;
  /** Whether tiles go back to their pool once they are written; else the page may be written over them. */
  readonly givesBack: boolean;
}

/**
 * Splits a canvas by the rule about holds, one row of tiles after the other. Line that is black on the flattened page stays line, with
 * the bare page as the colour beneath; all else prints in colour as the flattened page shows it. The canvas is used up.
 */
export class PageSplit {
  private readonly paper: PaperRows;
  private readonly judge: LineJudge | undefined;

  constructor(
    private readonly canvas: Canvas,
    rule: LineRule,
    private readonly frame: SplitFrame,
  ) {
    this.paper = new PaperRows(canvas, frame.places);
    this.judge = frame.hasLine ? new LineJudge(canvas, rule, frame.linePlaces) : undefined;
  }

  /** All layers are laid on a row of tiles; rows come in order. */
  rowLaid(row: number): void {
    // What is decided asks the row below, and the row above is asked for the last time.
    this.judge?.judge(row);
    if (row > 0) this.finish(row - 1);
  }

  /** The last row was laid. */
  end(): SplitPage {
    const { rows } = this.canvas.grid;
    this.finish(rows - 1);
    this.drop(rows - 1);
    return { colour: this.paper.colour, painted: this.paper.painted, ...(this.judge?.found() ?? noLine) };
  }

  private finish(row: number): void {
    this.judge?.decide(row);
    if (row > 0) this.drop(row - 1);
    const { full, bare, grid, pool } = this.canvas;
    this.paper.writeRow(row);
    for (const index of tilesOfRow(grid, row)) {
      if (this.frame.givesBack) pool.release(full[index], bare[index]);
      full[index] = undefined;
      bare[index] = undefined;
    }
  }

  /** Nobody asks for the line of a row any more. */
  private drop(row: number): void {
    this.judge?.dropGone(row);
    if (!this.frame.givesBack) return;
    const { lines, grid, pool } = this.canvas;
    for (const index of tilesOfRow(grid, row)) {
      const line = lines[index];
      if (line !== undefined) pool.releaseLine(line);
      lines[index] = undefined;
    }
  }
}

const noLine = {
  line: undefined,
  light: undefined,
  heldPercent: 0,
  coveredPercent: 0,
} as const;

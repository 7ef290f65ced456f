import { mmToPx, pxToMm, type SizePx } from '../../config/units.js';
import { PlaceGrid } from '../model/place-grid.js';
import type { MeasuredBox } from '../model/places.js';
import type { Rgb } from './oklab.js';

/** Borders between colours that fall together, gathered over a page. */

/** Without which cones it was looked at: those that one man in twelve lacks or has too few of; the third kind is lacking in one of many thousand. */
export const lookedWith = ['protanopia', 'deuteranopia'] as const;

/** Two colours that fall together. */
export interface TogetherPair {
  /** How they print, on a screen. */
  readonly colours: readonly [Rgb, Rgb];
  /** Distance in OKLab as most people see them, and as `eyes` do. */
  readonly distance: number;
  readonly seen: number;
  /** Who sees them nearest to each other. */
  readonly eyes: (typeof lookedWith)[number];
}

/** Borders of a page between colours that fall together. */
export interface FallsTogether {
  readonly lengthMm: number;
  /** The pair with the longest border. */
  readonly pair: TogetherPair;
  /** In pixels of the page. */
  readonly boxes: readonly MeasuredBox[];
}

/** Squares in which borders are gathered, and how many places of one make it a border and no accident. Own choice. */
const squareMm = 10;
const leastInSquare = 8;

/** Along a row, or along a column. */
export type Way = 'across' | 'down';

/** Borders in one square of the page: how many places of them were met along rows and along columns. */
interface Square {
  across: number;
  down: number;
  readonly pairs: Map<string, { pair: TogetherPair; places: number }>;
}

/** Gathers places of borders. */
export class Borders {
  private readonly squares = new Map<string, Square>();
  private readonly grid: PlaceGrid;
  private readonly sidePx: number;

  constructor(
    page: SizePx,
    private readonly ppi: number,
    private readonly step: number,
  ) {
    this.sidePx = Math.round(mmToPx(squareMm, ppi));
    this.grid = new PlaceGrid(page, this.sidePx);
  }

  add(column: number, row: number, way: Way, pair: TogetherPair): void {
    const [x, y] = [column * this.step, row * this.step];
    this.grid.add(x, y, 1, 1, this.step, this.step);
    const name = `${Math.floor(x / this.sidePx)} ${Math.floor(y / this.sidePx)}`;
    const square = this.squares.get(name) ?? { across: 0, down: 0, pairs: new Map() };
    this.squares.set(name, square);
    square[way]++;
    const colours = pair.colours.map(roughly).sort().join('/');
    const known = square.pairs.get(colours) ?? { pair, places: 0 };
    known.places++;
    square.pairs.set(colours, known);
  }

  found(): FallsTogether | undefined {
    const squares = [...this.squares.values()].filter(({ across, down }) => across + down >= leastInSquare);
    if (squares.length === 0) return undefined;
    // A border is met along rows as often as it is high, and along columns as often as it is wide.
    const places = squares.reduce((sum, { across, down }) => sum + Math.hypot(across, down), 0);
    return {
      lengthMm: pxToMm(places * this.step, this.ppi),
      pair: commonest(squares),
      boxes: this.grid.boxes(leastInSquare),
    };
  }
}

/** Colours that differ by less than a dozen levels are one flat with some noise. */
const roughLevels = 12;
const roughly = (colour: Rgb) => colour.map((level) => Math.round(level / roughLevels)).join(' ');

function commonest(squares: readonly Square[]): TogetherPair {
  const all = new Map<string, { pair: TogetherPair; places: number }>();
  for (const [name, { pair, places }] of squares.flatMap(({ pairs }) => [...pairs])) {
    all.set(name, { pair: all.get(name)?.pair ?? pair, places: (all.get(name)?.places ?? 0) + places });
  }
  return [...all.values()].reduce((most, next) => (next.places > most.places ? next : most)).pair;
}

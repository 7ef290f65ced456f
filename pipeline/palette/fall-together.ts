import { mmToPx, pxToMm } from '../../config/units.js';
import type { Separator } from '../inks/separator.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { OkLab } from '../model/palette.js';
import { PlaceGrid } from '../model/place-grid.js';
import type { MeasuredBox } from '../model/places.js';
import { type ProcessPlanes, processPlanes, type Separation } from '../model/separation.js';
import { seeingOf } from './colour-vision.js';
import { lightOf, oklabDistance, oklabOf, oklabOfLight, type Rgb } from './oklab.js';

/**
 * Where two flats meet that differ clearly, and fall together for eyes without red or green cones. The page is looked at as it prints,
 * through the soft proof: that is what is read, and screen colours out of gamut may come nearer to each other on the way.
 */

/** Without which cones it was looked at: those that one man in twelve lacks or has too few of; the third kind is lacking in one of many thousand. */
const lookedWith = ['protanopia', 'deuteranopia'] as const;

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

/** What two colours are held against. */
export interface TogetherLimits {
  /** Colours this far apart in OKLab differ clearly. */
  readonly clearOklab: number;
  /** As near as this they fall together. */
  readonly togetherOklab: number;
}

/** The page is asked at this many places an inch: what an eye parts at reading distance. Own choice. */
const askedPpi = 60;

/** A flat is what two places beside each other agree in, by levels of 255. Own choice. */
const calmLevels = 10;

/** Between two flats lies what blends from one to the other: no ink beyond theirs by more than this, in counts. Black blends less evenly. Own choice. */
const blendCounts = 40;
const blackBlendCounts = 77;

/** Squares in which borders are gathered, and how many places of one make it a border and no accident. Own choice. */
const squareMm = 10;
const leastInSquare = 8;

/** The page as a screen shows its print, a place in every few pixels. */
interface Looked {
  readonly columns: number;
  readonly rows: number;
  /** Pixels from one place to the next. */
  readonly step: number;
  /** Red, green, blue by turns. */
  readonly data: Uint8Array;
}

/**
 * Looks for borders between flats that fall together. What has a line between, black or painted, is parted by it.
 * @param page as it prints, line included
 * @returns undefined where there are none
 */
export function measureTogether(
  page: Separation,
  ppi: number,
  limits: TogetherLimits,
  separator: Pick<Separator, 'softProof'>,
  arena: PageArena,
): FallsTogether | undefined {
  const looked = lookAt(page, ppi, separator, arena);
  const { columns, rows, step, data } = looked;
  const borders = new Borders(page, ppi, step);
  const planes = processPlanes(page);
  const pair = pairTest(data, limits);
  const pixelOf = (column: number, row: number) =>
    (row * step + (step >> 1)) * page.width + column * step + (step >> 1);
  /** Whether a border runs through a place, from one beside it to the other. */
  const look = (column: number, row: number, way: Way): boolean => {
    const [place, stride] = [row * columns + column, way === 'across' ? 1 : columns];
    const [one, other] = [(place - stride) * 3, (place + stride) * 3];
    if (!isCalm(data, one, one - stride * 3) || !isCalm(data, other, other + stride * 3)) return false;
    const found = pair(one, other);
    if (found === undefined) return false;
    const from = way === 'across' ? pixelOf(column - 1, row) : pixelOf(column, row - 1);
    if (!isBlend(planes, from, way === 'across' ? 1 : page.width, 2 * step)) return false;
    borders.add(column, row, way, found);
    return true;
  };
  // The place behind one that a border was found at would tell of the same border once more.
  const lastDown = new Int32Array(columns).fill(-2);
  for (let row = 0; row < rows; row++) {
    const isInside = row >= 2 && row < rows - 2;
    let lastAcross = -2;
    for (let column = 2, at = (row * columns + 2) * 3; column < columns - 2; column++, at += 3) {
      if (differs(data, at - 3, at + 3) && column > lastAcross + 1 && look(column, row, 'across')) {
        lastAcross = column;
      }
      if (!isInside || !differs(data, at - columns * 3, at + columns * 3)) continue;
      if (row > lastDown[column] + 1 && look(column, row, 'down')) lastDown[column] = row;
    }
  }
  return borders.found();
}

/** Whether a channel differs by more than noise does: most places are passed over by that. */
function differs(data: Uint8Array, one: number, other: number): boolean {
  const red = data[one] - data[other];
  const green = data[one + 1] - data[other + 1];
  const blue = data[one + 2] - data[other + 2];
  return (
    red >= leastLevels ||
    red <= -leastLevels ||
    green >= leastLevels ||
    green <= -leastLevels ||
    blue >= leastLevels ||
    blue <= -leastLevels
  );
}

type Way = 'across' | 'down';

function lookAt(
  page: Separation,
  ppi: number,
  separator: Pick<Separator, 'softProof'>,
  arena: PageArena,
): Looked {
  const step = Math.max(1, Math.round(ppi / askedPpi));
  const [columns, rows] = [Math.floor(page.width / step), Math.floor(page.height / step)];
  const inks = new Uint8Array(columns * rows * 4);
  for (const [ink, plane] of processPlanes(page).entries()) {
    for (let row = 0, to = ink; row < rows; row++) {
      let from = (row * step + (step >> 1)) * page.width + (step >> 1);
      for (let column = 0; column < columns; column++, to += 4, from += step) inks[to] = plane[from];
    }
  }
  const picture = { width: columns, height: rows, model: 'cmyk', alpha: false, data: inks } as const;
  const { data } = separator.softProof(picture, { paperWhite: false }, arena);
  return { columns, rows, step, data: data as Uint8Array };
}

/** Whether two places are one flat. @param one, other where their colours begin */
function isCalm(data: Uint8Array, one: number, other: number): boolean {
  return (
    Math.abs(data[one] - data[other]) <= calmLevels &&
    Math.abs(data[one + 1] - data[other + 1]) <= calmLevels &&
    Math.abs(data[one + 2] - data[other + 2]) <= calmLevels
  );
}

/** Levels by which a channel differs at least where two colours differ clearly; in fewer differ none but dark ones, by which nobody reads. Own choice. */
const leastLevels = 24;

/** Pairs of colours that are remembered, a power of two: a page of flats has some hundred, a painted one never the same twice. */
const remembered = 4096;

/** A test of two places that remembers the latest pairs of colours that it was asked about. */
function pairTest(
  data: Uint8Array,
  limits: TogetherLimits,
): (one: number, other: number) => TogetherPair | undefined {
  // Both colours of what is remembered in each place, -1 for nothing yet, and what came of it.
  const [ones, others] = [new Int32Array(remembered).fill(-1), new Int32Array(remembered)];
  const answers: (TogetherPair | undefined)[] = new Array(remembered);
  return (one, other) => {
    const [a, b] = [nameOf(data, one), nameOf(data, other)];
    const at = (Math.imul(a, 0x9e3779b1) ^ Math.imul(b, 0x85ebca6b)) >>> 20;
    if (ones[at] !== a || others[at] !== b) {
      ones[at] = a;
      others[at] = b;
      answers[at] = together(colourAt(data, one), colourAt(data, other), limits);
    }
    return answers[at];
  };
}

const nameOf = (data: Uint8Array, at: number) => (data[at] << 16) | (data[at + 1] << 8) | data[at + 2];
const colourAt = (data: Uint8Array, at: number): Rgb => [data[at], data[at + 1], data[at + 2]];

const seeing = lookedWith.map((eyes) => ({ eyes, see: seeingOf(eyes) }));

/** Two colours that differ clearly and fall together for somebody; undefined for any others. */
export function together(one: Rgb, other: Rgb, limits: TogetherLimits): TogetherPair | undefined {
  const distance = oklabDistance(oklabOf(one), oklabOf(other));
  if (distance < limits.clearOklab) return undefined;
  const seen = seeing.map(({ eyes, see }) => {
    const [first, second] = [one, other].map(([r, g, b]): OkLab => {
      return oklabOfLight(...see(lightOf(r), lightOf(g), lightOf(b)));
    });
    return { eyes, seen: oklabDistance(first, second) };
  });
  const nearest = seen.reduce((least, next) => (next.seen < least.seen ? next : least));
  return nearest.seen > limits.togetherOklab ? undefined : { colours: [one, other], distance, ...nearest };
}

/** Whether all that lies from one place to another is a blend of both: no line, no light between. */
function isBlend(planes: ProcessPlanes, from: number, stride: number, length: number): boolean {
  const to = from + length * stride;
  return planes.every((plane, ink) => {
    const slack = ink === 3 ? blackBlendCounts : blendCounts;
    const least = Math.min(plane[from], plane[to]) - slack;
    const most = Math.max(plane[from], plane[to]) + slack;
    for (let at = from; at <= to; at += stride) if (plane[at] < least || plane[at] > most) return false;
    return true;
  });
}

/** Borders in one square of the page: how many places of them were met along rows and along columns. */
interface Square {
  across: number;
  down: number;
  readonly pairs: Map<string, { pair: TogetherPair; places: number }>;
}

/** Gathers places of borders. */
class Borders {
  private readonly squares = new Map<string, Square>();
  private readonly grid: PlaceGrid;
  private readonly sidePx: number;

  constructor(
    page: Separation,
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

import { letterOf } from './alphabet.js';
import { contour, stroke } from './brush.js';
import type { Hex } from './colour.js';
import { type Knot, line, moved, type Outline, type Pt, placing, shape } from './geometry.js';
import { latticeValue } from './random.js';
import type { Sheet } from './sheet.js';

export interface Hand {
  /** Height of a capital in page units. */
  readonly size: number;
  /** Pen width as a share of the height. */
  readonly pen?: number;
  readonly colour?: Hex;
  /** Degrees, clockwise. */
  readonly turn?: number;
}

const gapShare = 0.2;
const leadShare = 1.52;

/** Width of a line of lettering in page units. */
export function lineWidth(text: string, size: number): number {
  let width = 0;
  for (const character of text) width += (letterOf(character).width / 10 + gapShare) * size;
  return width - gapShare * size;
}

/** The pen strokes of one line of lettering that starts at a point, its capitals standing `size` high below it. */
export function lineStrokes(text: string, at: Pt, hand: Hand): Outline[] {
  const { size, pen = 0.13, turn = 0 } = hand;
  const page = placing({ x: at[0], y: at[1], turn });
  const out: Outline[] = [];
  let x = 0;
  [...text].forEach((character, index) => {
    const letter = letterOf(character);
    const wobble = latticeValue(index, text.length * 31 + character.charCodeAt(0), 5) - 0.5;
    const place = placing({ x, y: wobble * size * 0.05, scale: size / 10, turn: wobble * 3 });
    for (const way of letter.strokes) {
      const drawn = moved(moved(wayOf(way), place), page);
      out.push(stroke(drawn.points, { weight: size * pen, swell: 0, thin: 0, ends: 1, seed: index + 1 }));
    }
    x += (letter.width / 10 + gapShare) * size;
  });
  return out;
}

function wayOf(text: string): Outline {
  const smooth = text.startsWith('~');
  const knots = (smooth ? text.slice(1) : text).split(' ').map((pair): Knot => {
    const [x, y] = pair.split(',').map(Number);
    return smooth ? [x, y] : [x, y, 1];
  });
  return line(knots);
}

/** Lines of lettering, each centred on `centre`, which is the middle of the block. */
export function letterBlock(sheet: Sheet, lines: readonly string[], centre: Pt, hand: Hand): void {
  const lead = hand.size * leadShare;
  const top = centre[1] - (lead * (lines.length - 1) + hand.size) / 2;
  lines.forEach((text, index) => {
    const x = centre[0] - lineWidth(text, hand.size) / 2;
    for (const ink of lineStrokes(text, [x, top + index * lead], hand))
      sheet.letter(ink, hand.colour ?? '#000000');
  });
}

export interface Balloon {
  readonly lines: readonly string[];
  readonly centre: Pt;
  /** Where the tail points; none for a thought that is only overheard. */
  readonly to?: Pt;
  readonly size?: number;
}

const white = '#ffffff';

/** A speech balloon with a curved tail. */
export function balloon(sheet: Sheet, { lines, centre, to, size = 9.2 }: Balloon): void {
  const [halfWidth, halfHeight] = blockHalves(lines, size);
  const body = pillow(centre, halfWidth + size * 1.25, halfHeight + size * 1.15);
  const parts = to === undefined ? [body] : [body, tail(centre, to, halfWidth)];
  for (const part of parts)
    for (const ribbon of contour(part, 3.2, [0.6, 0.8], 3)) sheet.letter(ribbon, '#000000');
  for (const part of parts) sheet.letter(part, white);
  letterBlock(sheet, lines, centre, { size });
}

/** A caption box: a slip of tinted paper, a little askew. */
export function caption(sheet: Sheet, lines: readonly string[], corner: Pt, tint: Hex, size = 8.6): void {
  const [halfWidth, halfHeight] = blockHalves(lines, size);
  const w = 2 * halfWidth + size * 1.9;
  const h = 2 * halfHeight + size * 1.7;
  const [x, y] = corner;
  const slip = shape([
    [x, y + 0.8, 1],
    [x + w, y - 0.6, 1],
    [x + w + 0.8, y + h, 1],
    [x - 0.6, y + h - 0.5, 1],
  ]);
  for (const ribbon of contour(slip, 3, [0.6, 0.8], 5)) sheet.letter(ribbon, '#000000');
  sheet.letter(slip, tint);
  letterBlock(sheet, lines, [x + w / 2, y + h / 2], { size });
}

export interface Noise {
  readonly text: string;
  readonly at: Pt;
  readonly size: number;
  readonly fill: Hex;
  readonly turn?: number;
  readonly pen?: number;
  readonly rim?: number;
}

/** A drawn noise, or a title: fat letters with a black rim. */
export function noise(sheet: Sheet, { text, at, size, fill, turn = 0, pen = 0.24, rim = 0.11 }: Noise): void {
  for (const ink of lineStrokes(text, at, { size, pen: pen + rim, turn })) sheet.letter(ink, '#000000');
  for (const ink of lineStrokes(text, at, { size, pen, turn })) sheet.letter(ink, fill);
}

function blockHalves(lines: readonly string[], size: number): [number, number] {
  const width = Math.max(...lines.map((text) => lineWidth(text, size)));
  return [width / 2, (size * leadShare * (lines.length - 1) + size) / 2];
}

/** A rounded body between an ellipse and a box, which wastes little room around lettering. */
function pillow([cx, cy]: Pt, rx: number, ry: number): Outline {
  const knots: Knot[] = [];
  for (let i = 0; i < 24; i++) {
    const angle = (i / 24) * 2 * Math.PI;
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    const wobble = 1 + 0.018 * (latticeValue(i, Math.round(cx), 2) - 0.5);
    knots.push([
      cx + rx * Math.sign(c) * Math.abs(c) ** 0.72 * wobble,
      cy + ry * Math.sign(s) * Math.abs(s) ** 0.72 * wobble,
    ]);
  }
  return shape(knots);
}

function tail(from: Pt, to: Pt, halfWidth: number): Outline {
  const dx = to[0] - from[0];
  const dy = to[1] - from[1];
  const length = Math.hypot(dx, dy) || 1;
  const [nx, ny] = [-dy / length, dx / length];
  const root = Math.min(7, halfWidth * 0.4);
  const bend = length * 0.08;
  const mid: Pt = [from[0] + dx * 0.62 + nx * bend, from[1] + dy * 0.62 + ny * bend];
  return shape([
    [from[0] + nx * root, from[1] + ny * root, 1],
    [mid[0] + nx * root * 0.55, mid[1] + ny * root * 0.55],
    [to[0], to[1], 1],
    [mid[0] - nx * root * 0.3, mid[1] - ny * root * 0.3],
    [from[0] - nx * root, from[1] - ny * root, 1],
  ]);
}

/**
 * Glyph outlines of a TrueType font: the `glyf` table of the OpenType specification (ISO/IEC 14496-22). Coordinates are
 * in font units, y upwards.
 */

/** A point of a contour. Between two points that are not on the curve lies one that is, in their middle. */
interface OutlinePoint {
  readonly x: number;
  readonly y: number;
  readonly onCurve: boolean;
}

type Contour = readonly OutlinePoint[];

/** Finds the bytes of a glyph; empty for a glyph without a shape, such as the blank. */
export type GlyphBytes = (index: number) => DataView;

/** Compound glyphs refer to others; no sound font goes deeper. */
const deepest = 8;

/** All contours of a glyph, those of the glyphs that it is put together from included. */
export function contoursOf(bytesOf: GlyphBytes, index: number, depth = 0): Contour[] {
  const glyph = bytesOf(index);
  if (glyph.byteLength === 0 || depth > deepest) return [];
  const contours = glyph.getInt16(0);
  return contours >= 0 ? simpleContours(glyph, contours) : compoundContours(bytesOf, glyph, depth);
}

/** Length of a glyph's head: number of contours and four bounds. */
const headBytes = 10;

/** Flags of a point. */
const pointFlag = { onCurve: 1, xShort: 2, yShort: 4, repeat: 8, xSameOrPositive: 16, ySameOrPositive: 32 };

function simpleContours(glyph: DataView, count: number): Contour[] {
  const ends = Array.from({ length: count }, (_, i) => glyph.getUint16(headBytes + 2 * i));
  const points = count === 0 ? 0 : ends[count - 1] + 1;
  const hints = headBytes + 2 * count;
  let at = hints + 2 + glyph.getUint16(hints);
  const flags: number[] = [];
  while (flags.length < points) {
    const flag = glyph.getUint8(at++);
    const times = flag & pointFlag.repeat ? glyph.getUint8(at++) + 1 : 1;
    for (let i = 0; i < times; i++) flags.push(flag);
  }
  const axis = (short: number, same: number) => {
    let place = 0;
    return flags.map((flag) => {
      if (flag & short) place += flag & same ? glyph.getUint8(at++) : -glyph.getUint8(at++);
      else if (!(flag & same)) {
        place += glyph.getInt16(at);
        at += 2;
      }
      return place;
    });
  };
  const xs = axis(pointFlag.xShort, pointFlag.xSameOrPositive);
  const ys = axis(pointFlag.yShort, pointFlag.ySameOrPositive);
  const all = flags.map((flag, i) => ({ x: xs[i], y: ys[i], onCurve: (flag & pointFlag.onCurve) !== 0 }));
  return ends.map((end, i) => all.slice(i === 0 ? 0 : ends[i - 1] + 1, end + 1));
}

/** Flags of a part of a compound glyph. */
const partFlag = { words: 1, offsets: 2, scale: 8, more: 32, scaleXY: 64, matrix: 128 };

function compoundContours(bytesOf: GlyphBytes, glyph: DataView, depth: number): Contour[] {
  const contours: Contour[] = [];
  let at = headBytes;
  for (let flags: number = partFlag.more; flags & partFlag.more; ) {
    flags = glyph.getUint16(at);
    const index = glyph.getUint16(at + 2);
    at += 4;
    const wide = (flags & partFlag.words) !== 0;
    const [dx, dy] = wide
      ? [glyph.getInt16(at), glyph.getInt16(at + 2)]
      : [glyph.getInt8(at), glyph.getInt8(at + 1)];
    at += wide ? 4 : 2;
    const [a, b, c, d, length] = partMatrix(glyph, at, flags);
    at += length;
    // Without offsets the numbers name points to be laid on each other, which the fonts that ship here never use.
    const [moveX, moveY] = flags & partFlag.offsets ? [dx, dy] : [0, 0];
    for (const contour of contoursOf(bytesOf, index, depth + 1)) {
      contours.push(
        contour.map(({ x, y, onCurve }) => ({
          x: a * x + c * y + moveX,
          y: b * x + d * y + moveY,
          onCurve,
        })),
      );
    }
  }
  return contours;
}

/** The four numbers of a part's matrix and the bytes that they take; they are stored in 1/16384. */
function partMatrix(glyph: DataView, at: number, flags: number): [number, number, number, number, number] {
  const number = (place: number) => glyph.getInt16(at + 2 * place) / 16384;
  if (flags & partFlag.scale) return [number(0), 0, 0, number(0), 2];
  if (flags & partFlag.scaleXY) return [number(0), 0, 0, number(1), 4];
  if (flags & partFlag.matrix) return [number(0), number(1), number(2), number(3), 8];
  return [1, 0, 0, 1, 0];
}

/** A step of an outline: M and L to one point, Q over a point to another, Z back to the start. */
export interface OutlineStep {
  readonly letter: 'M' | 'L' | 'Q' | 'Z';
  /** x and y by turns. */
  readonly to: readonly number[];
}

/** Contours as steps of a pen. */
export function stepsOf(contours: readonly Contour[]): OutlineStep[] {
  return contours.flatMap((contour) => (contour.length < 2 ? [] : contourSteps(contour)));
}

function contourSteps(contour: Contour): OutlineStep[] {
  const last = contour[contour.length - 1];
  const start = last.onCurve ? last : contour[0].onCurve ? contour[0] : between(last, contour[0]);
  const steps: OutlineStep[] = [{ letter: 'M', to: [start.x, start.y] }];
  contour.forEach((point, i) => {
    const next = contour[(i + 1) % contour.length];
    if (point.onCurve) {
      steps.push({ letter: 'L', to: [point.x, point.y] });
      return;
    }
    const end = next.onCurve ? next : between(point, next);
    steps.push({ letter: 'Q', to: [point.x, point.y, end.x, end.y] });
  });
  steps.push({ letter: 'Z', to: [] });
  return steps;
}

function between(one: OutlinePoint, other: OutlinePoint): OutlinePoint {
  return { x: (one.x + other.x) / 2, y: (one.y + other.y) / 2, onCurve: true };
}

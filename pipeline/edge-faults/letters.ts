import { mmToPx } from '../../config/units.js';
import type { MeasuredBox } from '../model/places.js';
import type { Plate } from '../model/raster.js';
import { contrastRatio, type LetteredPage, luminanceOf, squarePx } from './luminance.js';

/** A letter, or what has the size and the strokes of one. */
export interface Letter extends MeasuredBox {
  /** Contrast ratio of its strokes against what is right beside them, as WCAG 2.2 has it. */
  readonly contrast: number;
}

/** How tall and how wide letters are, in millimetres: from 5 points in small print to sound effects. Own choice. */
const leastTallMm = 0.7;
const mostMm = 9;
/** What is thinner both ways is the soft edge of something larger, in millimetres. Own choice. */
const leastThickMm = 0.22;
/** Specks are smaller, in pixels of stroke. Own choice. */
const leastPixels = 8;
/** Strokes are looked at from so far at both sides, in millimetres: thin ones and bold ones. Own choice. */
const reachesMm = [0.42, 0.8] as const;
/** What stands out less is the same tone to the eye, as contrast ratio. Own choice. */
const leastContrast = 1.25;
/** Strokes of nearly the luminance of their ground are told by their hue, red less green, half of it. Own choice. */
const leastHue = 25;
/** Where both sides of a stroke differ from each other by more, it is an outline, as contrast ratio. Own choice. */
const outlineContrast = 2;
/** So much of a letter's strokes may have less contrast than is said of it: its soft edges. Own choice. */
const softShare = 0.7;
/** Contrast is kept in steps of a twelfth, up to 21. */
const stepsOfContrast = 12;

/**
 * Finds letters within lettering: strokes that are darker, or lighter, than both sides, hanging together in the size of letters.
 * Balloons and large sound effects are larger; letters whose strokes are wider than a millimetre and a half are not found.
 * @param lettering as for `letteredPage`
 */
export function findLetters(page: LetteredPage, lettering: Plate, ppi: number): Letter[] {
  const strokes = strokesOf(page, lettering, ppi);
  const [least, most] = [mmToPx(leastTallMm, ppi), mmToPx(mostMm, ppi)];
  const thick = mmToPx(leastThickMm, ppi);
  const letters: Letter[] = [];
  for (const first of strokes.pixels) {
    if (strokes.kinds[first] === 0) continue;
    const { box, contrasts } = connected(strokes, page, first);
    const isLetter =
      box.height >= least &&
      Math.max(box.width, box.height) <= most &&
      Math.min(box.width, box.height) >= thick;
    if (!isLetter || contrasts.length < leastPixels) continue;
    contrasts.sort((a, b) => a - b);
    letters.push({ ...box, contrast: contrasts[Math.floor(contrasts.length * softShare)] / stepsOfContrast });
  }
  return inWords(letters);
}

/** Letters of one word are about as tall, or as wide, as each other and stand no farther apart than so many of their heights. Own choice. */
const likeness = 0.6;
const farthest = 1.2;
/** Fewer letters beside each other are no word, but what the edges of drawing leave. Own choice. */
const leastOfWord = 3;

/** The letters that stand in a row, or one above the other, with others of their size. */
function inWords(letters: readonly Letter[]): Letter[] {
  const sorted = [...letters].sort((one, other) => one.left - other.left || one.top - other.top);
  const leaders = sorted.map((_, n) => n);
  const leaderOf = (n: number): number => {
    let at = n;
    while (leaders[at] !== at) at = leaders[at];
    return at;
  };
  for (const [n, one] of sorted.entries()) {
    for (let other = n + 1; other < sorted.length; other++) {
      if (sorted[other].left > one.left + one.width + farthest * one.height) break;
      if (isBeside(one, sorted[other]) || isAbove(one, sorted[other])) leaders[leaderOf(other)] = leaderOf(n);
    }
  }
  const counts = new Uint32Array(sorted.length);
  for (const n of leaders.keys()) counts[leaderOf(n)]++;
  return sorted.filter((_, n) => counts[leaderOf(n)] >= leastOfWord);
}

function isBeside(one: Letter, other: Letter): boolean {
  const common = Math.min(one.top + one.height, other.top + other.height) - Math.max(one.top, other.top);
  const gap = other.left - one.left - one.width;
  return common >= likeness * Math.max(one.height, other.height) && gap <= farthest * one.height;
}

function isAbove(one: Letter, other: Letter): boolean {
  const common = Math.min(one.left + one.width, other.left + other.width) - Math.max(one.left, other.left);
  const [upper, lower] = one.top < other.top ? [one, other] : [other, one];
  const gap = lower.top - upper.top - upper.height;
  return common >= likeness * Math.max(one.width, other.width) && gap <= farthest * one.width;
}

/** Pixels of strokes. */
interface Strokes {
  readonly pixels: readonly number[];
  /** 1 for dark ones, 2 for light ones; 0 for what is none, or was found already. */
  readonly kinds: Uint8Array;
  /** Contrast, in steps. */
  readonly contrasts: Uint8Array;
}

function strokesOf(page: LetteredPage, lettering: Plate, ppi: number): Strokes {
  const { width, height, squares } = page;
  const kinds = new Uint8Array(width * height);
  const contrasts = new Uint8Array(width * height);
  const pixels: number[] = [];
  const reaches = reachesMm.map((mm) => Math.max(2, Math.round(mmToPx(mm, ppi))));
  for (const corner of squares) {
    const [left, top] = [corner % width, Math.floor(corner / width)];
    if (isFlat(page, left, top)) continue;
    for (let y = top; y < Math.min(height, top + squarePx); y++) {
      for (let x = left; x < Math.min(width, left + squarePx); x++) {
        if (lettering.data[(y >> 1) * lettering.width + (x >> 1)] === 0) continue;
        const stroke = strokeAt(page, x, y, reaches);
        if (stroke === 0) continue;
        const i = y * width + x;
        kinds[i] = stroke > 0 ? 2 : 1;
        contrasts[i] = Math.min(255, Math.floor(Math.abs(stroke) * stepsOfContrast));
        pixels.push(i);
      }
    }
  }
  return { pixels, kinds, contrasts };
}

/** Whether a square is of one tone and hue: no stroke begins or ends in it, as in most of a balloon. */
function isFlat({ luminance, hue, width, height }: LetteredPage, left: number, top: number): boolean {
  const first = top * width + left;
  for (let y = top; y < Math.min(height, top + squarePx); y++) {
    const end = y * width + Math.min(width, left + squarePx);
    for (let i = y * width + left; i < end; i++) {
      if (luminance[i] !== luminance[first] || hue[i] !== hue[first]) return false;
    }
  }
  return true;
}

/** Contrast of a pixel with both sides, the lesser of the two: below 0 where it is the dark one, 0 where it is no stroke. */
function strokeAt(page: LetteredPage, x: number, y: number, reaches: readonly number[]): number {
  const { width, height } = page;
  const i = y * width + x;
  let best = 0;
  for (const reach of reaches) {
    const across = x >= reach && x < width - reach ? contrastWith(page, i, reach) : 0;
    const down = y >= reach && y < height - reach ? contrastWith(page, i, reach * width) : 0;
    if (Math.abs(across) > Math.abs(best)) best = across;
    if (Math.abs(down) > Math.abs(best)) best = down;
  }
  return best;
}

function contrastWith({ luminance, hue }: LetteredPage, i: number, away: number): number {
  const [own, one, other] = [luminance[i], luminance[i - away], luminance[i + away]];
  if (one === 0 || other === 0) return 0;
  const isDark = own < one && own < other;
  if (isDark || (own > one && own > other)) {
    const least = contrastWithSides(own, one, other);
    if (least >= leastContrast) return isDark ? -least : least;
  }
  const [left, right] = [hue[i] - hue[i - away], hue[i] - hue[i + away]];
  if (Math.min(left, right) >= leastHue) return contrastWithSides(own, one, other);
  return Math.max(left, right) <= -leastHue ? -contrastWithSides(own, one, other) : 0;
}

/** An outline has letter at one side and ground at the other, and stands out by the one from which it differs more. */
function contrastWithSides(own: number, one: number, other: number): number {
  const [left, right] = [one, other].map((side) => contrastRatio(luminanceOf(own), luminanceOf(side)));
  const isOutline = contrastRatio(luminanceOf(one), luminanceOf(other)) > outlineContrast;
  return isOutline ? Math.max(left, right) : Math.min(left, right);
}

/** All strokes that hang together with one pixel, over corners as well; they count as found. */
function connected({ kinds, contrasts }: Strokes, { width, height }: LetteredPage, first: number) {
  const kind = kinds[first];
  const found: number[] = [];
  let [left, right, top, bottom] = [width, 0, height, 0];
  const waiting = [first];
  kinds[first] = 0;
  for (let i = waiting.pop(); i !== undefined; i = waiting.pop()) {
    const [x, y] = [i % width, Math.floor(i / width)];
    found.push(contrasts[i]);
    left = Math.min(left, x);
    right = Math.max(right, x);
    top = Math.min(top, y);
    bottom = Math.max(bottom, y);
    for (let v = Math.max(0, y - 1); v <= Math.min(height - 1, y + 1); v++) {
      for (let u = Math.max(0, x - 1); u <= Math.min(width - 1, x + 1); u++) {
        const next = v * width + u;
        if (kinds[next] !== kind) continue;
        kinds[next] = 0;
        waiting.push(next);
      }
    }
  }
  return { box: { left, top, width: right - left + 1, height: bottom - top + 1 }, contrasts: found };
}

import type { SizePx } from '../../config/units.js';

/**
 * Pages for measuring: what takes time in a real page (flats, gradients, glows, grain, inks, spotted blacks, hatching)
 * in about the amounts that real pages have it, so that files and encoders work as hard as on those. No pictures to
 * look at. The same seed gives the same pixels.
 */

/** A page as its two parts. */
export interface BenchPage {
  /** width x height x 3, 8 bit, sRGB, without the line. */
  readonly colour: Uint8Array;
  /** width x height x 1: 0 ink, 255 paper, as scanned inks are. */
  readonly line: Uint8Array;
}

export function drawPage(size: SizePx, seed: number): BenchPage {
  const random = randomOf(seed);
  return { colour: drawColour(size, random), line: drawLine(size, random) };
}

/** Numbers from 0 to 1 (xorshift, Marsaglia 2003): the same ones on every machine. */
export function randomOf(seed: number): () => number {
  let state = (seed * 2654435761 + 1) >>> 0 || 1;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}

/** Panels of a page: a grid, each with a ground that runs from one colour to another. */
const panelRows = 4;
const panelColumns = 2;
/** Flat shapes in a panel, as flatters leave them. */
const shapesInPanel = 40;

function drawColour(size: SizePx, random: () => number): Uint8Array {
  const { width, height } = size;
  const data = new Uint8Array(width * height * 3);
  for (let row = 0; row < panelRows; row++) {
    for (let column = 0; column < panelColumns; column++) {
      const left = Math.round((column * width) / panelColumns);
      const top = Math.round((row * height) / panelRows);
      const right = Math.round(((column + 1) * width) / panelColumns);
      const bottom = Math.round(((row + 1) * height) / panelRows);
      const box = { left, top, right, bottom };
      drawGround(data, width, box, random);
      for (let shape = 0; shape < shapesInPanel; shape++) drawShape(data, width, box, random);
      if ((row + column) % 2 === 1) addGrain(data, width, box, random);
    }
  }
  return data;
}

interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

function drawGround(data: Uint8Array, width: number, box: Box, random: () => number): void {
  const from = [random(), random(), random()].map((share) => 70 + share * 180);
  const to = [random(), random(), random()].map((share) => 70 + share * 180);
  for (let y = box.top; y < box.bottom; y++) {
    const share = (y - box.top) / (box.bottom - box.top);
    const tone = from.map((value, channel) => Math.round(value + (to[channel] - value) * share));
    for (let x = box.left, at = (y * width + x) * 3; x < box.right; x++, at += 3) {
      data[at] = tone[0];
      data[at + 1] = tone[1];
      data[at + 2] = tone[2];
    }
  }
}

/** Every second panel is painted on grained paper, which compresses badly, as such pages do. */
function addGrain(data: Uint8Array, width: number, box: Box, random: () => number): void {
  for (let y = box.top; y < box.bottom; y++) {
    for (let x = box.left, at = (y * width + x) * 3; x < box.right; x++, at += 3) {
      const speck = Math.round((random() - 0.5) * 3);
      data[at] += speck;
      data[at + 1] += speck;
      data[at + 2] += speck;
    }
  }
}

/** A disc of one colour, every fifth one glowing out into its surroundings. */
function drawShape(data: Uint8Array, width: number, box: Box, random: () => number): void {
  const radius = (0.03 + random() * 0.1) * (box.right - box.left);
  const middleX = box.left + random() * (box.right - box.left);
  const middleY = box.top + random() * (box.bottom - box.top);
  const colour = [random(), random(), random()].map((share) => 20 + share * 230);
  const glows = random() < 0.2;
  const stretch = 0.5 + random() * 2;
  for (
    let y = Math.max(box.top, Math.ceil(middleY - radius));
    y < Math.min(box.bottom, middleY + radius);
    y++
  ) {
    const half = Math.sqrt(Math.max(0, radius * radius - (y - middleY) ** 2)) * stretch;
    const start = Math.max(box.left, Math.ceil(middleX - half));
    for (let x = start, at = (y * width + start) * 3; x < Math.min(box.right, middleX + half); x++, at += 3) {
      const near = 1 - Math.hypot((x - middleX) / stretch, y - middleY) / radius;
      const share = glows ? Math.max(0, near) : 1;
      for (let channel = 0; channel < 3; channel++) {
        data[at + channel] += Math.round((colour[channel] - data[at + channel]) * share);
      }
    }
  }
}

/** Strokes on a page, and how many of them are hatching. */
const strokes = 420;
const hatchedShare = 0.4;

function drawLine(size: SizePx, random: () => number): Uint8Array {
  const { width, height } = size;
  const data = new Uint8Array(width * height).fill(255);
  const pen = { data, size };
  for (let column = 0; column <= panelColumns; column++) {
    const x = (column * width) / panelColumns;
    stroke(pen, { x, y: 0 }, { x, y: height }, width * 0.002);
  }
  for (let row = 0; row <= panelRows; row++) {
    const y = (row * height) / panelRows;
    stroke(pen, { x: 0, y }, { x: width, y }, width * 0.002);
  }
  for (let count = 0; count < strokes; count++) {
    const from = { x: random() * width, y: random() * height };
    const angle = random() * 2 * Math.PI;
    const length = random() * width * 0.12;
    const to = { x: from.x + Math.cos(angle) * length, y: from.y + Math.sin(angle) * length };
    const thick = (0.0006 + random() ** 3 * 0.004) * width;
    const repeats = random() < hatchedShare ? 12 : 1;
    for (let again = 0; again < repeats; again++) {
      const shift = again * width * 0.004;
      stroke(pen, { x: from.x + shift, y: from.y }, { x: to.x + shift, y: to.y }, thick);
    }
  }
  // Spotted blacks: large solid shapes.
  for (let spot = 0; spot < 6; spot++) {
    const from = { x: random() * width, y: random() * height };
    stroke(pen, from, { x: from.x + width * 0.08, y: from.y + height * 0.03 }, width * 0.025);
  }
  return data;
}

interface Point {
  readonly x: number;
  readonly y: number;
}

/** A stroke that swells towards its middle, drawn as a row of discs. */
export function stroke(
  pen: { data: Uint8Array; size: SizePx },
  from: Point,
  to: Point,
  thickPx: number,
): void {
  const { width, height } = pen.size;
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  const steps = Math.max(1, Math.ceil(length / Math.max(1, thickPx * 0.4)));
  for (let step = 0; step <= steps; step++) {
    const share = step / steps;
    const x = from.x + (to.x - from.x) * share;
    const y = from.y + (to.y - from.y) * share;
    const radius = Math.max(0.7, thickPx * (0.4 + 0.6 * Math.sin(Math.PI * share)));
    for (let row = Math.max(0, Math.ceil(y - radius)); row < Math.min(height, y + radius); row++) {
      const half = Math.sqrt(Math.max(0, radius * radius - (row - y) ** 2));
      const start = Math.max(0, Math.ceil(x - half));
      const end = Math.min(width, Math.ceil(x + half));
      if (end > start) pen.data.fill(0, row * width + start, row * width + end);
    }
  }
}

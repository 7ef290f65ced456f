import type { SizePx } from '../../../config/units.js';
import { stroke } from '../draw-page.js';
import type { DrawnLayer, Random } from './draw-layers.js';

/** Balloons of a page and rows of letters in each: common practice for a page of eight panels, no published source. */
const balloons = 12;
const rows = 4;
const lettersInRow = 14;

/** Height of a letter as a share of the page's width: some 2 mm of 184. */
const letterShare = 0.011;

/**
 * Lettering on a transparent ground: white balloons with a black rim, and in them rows of letters, each a few strokes of
 * the pen. No words to be read.
 */
export function drawLettering(size: SizePx, random: Random): DrawnLayer {
  const { width, height } = size;
  // 0 ink, 255 nothing; balloons are drawn into a plane of their own, each covering what lies below.
  const ink = new Uint8Array(width * height).fill(255);
  const white = new Uint8Array(width * height);
  const letter = letterShare * width;
  for (let count = 0; count < balloons; count++) {
    const middle = {
      x: (0.2 + 0.6 * random()) * width,
      y: ((count + 0.5) / balloons) * height,
    };
    const half = { x: lettersInRow * letter * 0.62, y: rows * letter * 1.1 };
    drawBalloon({ ink, white, size }, middle, half, letter * 0.12);
    for (let row = 0; row < rows; row++) {
      const y = middle.y + (row - (rows - 1) / 2) * letter * 1.5;
      const letters = lettersInRow - (row === 0 || row === rows - 1 ? 5 : 0);
      for (let at = 0; at < letters; at++) {
        const x = middle.x + (at - (letters - 1) / 2) * letter * 0.8;
        drawLetter({ data: ink, size }, { x, y }, letter, random);
      }
    }
  }
  const data = new Uint8Array(width * height * 4);
  for (let at = 0; at < ink.length; at++) {
    if (white[at] > 0) data.fill(255, at * 4, at * 4 + 4);
    if (ink[at] === 0) data.set([0, 0, 0, 255], at * 4);
  }
  return { ...size, x: 0, y: 0, channels: 4, data };
}

interface Point {
  readonly x: number;
  readonly y: number;
}

interface Planes {
  readonly ink: Uint8Array;
  readonly white: Uint8Array;
  readonly size: SizePx;
}

function drawBalloon({ ink, white, size }: Planes, middle: Point, half: Point, rimPx: number): void {
  for (let y = Math.max(0, Math.ceil(middle.y - half.y)); y < Math.min(size.height, middle.y + half.y); y++) {
    const across = half.x * Math.sqrt(Math.max(0, 1 - ((y - middle.y) / half.y) ** 2));
    const start = Math.max(0, Math.ceil(middle.x - across));
    const end = Math.min(size.width, Math.floor(middle.x + across));
    if (end <= start) continue;
    white.fill(1, y * size.width + start, y * size.width + end);
    ink.fill(255, y * size.width + start, y * size.width + end);
  }
  const steps = 90;
  const rim = (step: number): Point => {
    const turn = (step / steps) * 2 * Math.PI;
    return { x: middle.x + half.x * Math.cos(turn), y: middle.y + half.y * Math.sin(turn) };
  };
  for (let step = 0; step < steps; step++) stroke({ data: ink, size }, rim(step), rim(step + 1), rimPx);
}

function drawLetter(
  pen: { data: Uint8Array; size: SizePx },
  at: Point,
  heightPx: number,
  random: Random,
): void {
  const corner = (): Point => ({
    x: at.x + (Math.floor(random() * 3) - 1) * heightPx * 0.28,
    y: at.y + (Math.floor(random() * 3) - 1) * heightPx * 0.5,
  });
  for (let strokes = 0; strokes < 3; strokes++) stroke(pen, corner(), corner(), heightPx * 0.09);
}

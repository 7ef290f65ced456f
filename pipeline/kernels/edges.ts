import type { PixelBox, SizePx } from '../../config/units.js';

/** How often the outermost pixels are repeated at each side. */
export interface Edges {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/**
 * A part of interleaved samples, number for number; beyond the picture its outermost pixels are repeated.
 * @param samples from.width x from.height x channels
 * @returns box.width x box.height x channels, in memory of its own
 */
export function cutOut<Samples extends Uint8Array | Uint16Array>(
  samples: Samples,
  channels: number,
  from: SizePx,
  box: PixelBox,
): Samples {
  const first = Math.min(Math.max(box.left, 0), from.width - 1);
  const behind = Math.max(first + 1, Math.min(box.left + box.width, from.width));
  const edges = { left: Math.max(0, -box.left), right: Math.max(0, box.left + box.width - from.width) };
  const rowLength = box.width * channels;
  const part = new (samples.constructor as new (length: number) => Samples)(rowLength * box.height);
  for (let y = 0; y < box.height; y++) {
    const row = Math.min(Math.max(box.top + y, 0), from.height - 1) * from.width;
    const whole = samples.subarray((row + first) * channels, (row + behind) * channels);
    const at = y * rowLength + edges.left * channels;
    part.set(whole, at);
    repeatSides(part, channels, at, at + whole.length, edges);
  }
  return part;
}

/**
 * Repeats the edges of samples in place.
 * @param samples as long as the picture is with its edges; the picture itself stands at the beginning
 * @param inner size of the picture without them
 */
export function addEdges(
  samples: Uint8Array | Uint16Array,
  channels: number,
  inner: SizePx,
  edges: Edges,
): void {
  const innerLength = inner.width * channels;
  const rowLength = innerLength + (edges.left + edges.right) * channels;
  // From the last row on, since each moves further back than any before it.
  for (let y = inner.height - 1; y >= 0; y--) {
    const at = (edges.top + y) * rowLength + edges.left * channels;
    samples.copyWithin(at, y * innerLength, (y + 1) * innerLength);
    repeatSides(samples, channels, at, at + innerLength, edges);
  }
  const first = edges.top * rowLength;
  const last = (edges.top + inner.height - 1) * rowLength;
  for (let y = 0; y < edges.top; y++) samples.copyWithin(y * rowLength, first, first + rowLength);
  for (let y = 1; y <= edges.bottom; y++) samples.copyWithin(last + y * rowLength, last, last + rowLength);
}

/** Repeats the first and the last pixel of a row that stands from `start` to before `end`. */
function repeatSides(
  samples: Uint8Array | Uint16Array,
  channels: number,
  start: number,
  end: number,
  { left, right }: Pick<Edges, 'left' | 'right'>,
): void {
  for (let i = 1; i <= left; i++) samples.copyWithin(start - i * channels, start, start + channels);
  for (let i = 0; i < right; i++) samples.copyWithin(end + i * channels, end - channels, end);
}

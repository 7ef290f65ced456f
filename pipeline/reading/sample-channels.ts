import type { Samples } from './decode-picture.js';

type SampleData = Samples['data'];

function emptyLike(data: SampleData, length: number): SampleData {
  return data instanceof Uint8Array ? new Uint8Array(length) : new Uint16Array(length);
}

/**
 * Keeps some channels of interleaved samples, in the order given. Nothing is copied where all are kept as they are.
 * @param data pixels x channels samples
 * @returns pixels x keep.length samples
 */
export function keepChannels(data: SampleData, channels: number, keep: readonly number[]): SampleData {
  if (keep.length === channels && keep.every((channel, index) => channel === index)) return data;
  const pixels = data.length / channels;
  const out = emptyLike(data, pixels * keep.length);
  for (const [index, channel] of keep.entries()) {
    let to = index;
    for (let from = channel; from < data.length; from += channels) {
      out[to] = data[from];
      to += keep.length;
    }
  }
  return out;
}

/** Interleaves planes of equal size: planes.length x pixels samples become pixels x planes.length. */
export function interleave(planes: readonly SampleData[]): SampleData {
  const count = planes.length;
  const out = emptyLike(planes[0], planes[0].length * count);
  for (const [index, plane] of planes.entries()) {
    let to = index;
    for (let from = 0; from < plane.length; from++) {
      out[to] = plane[from];
      to += count;
    }
  }
  return out;
}

/**
 * Divides premultiplied colours by their alpha, in place: `colour = stored * max / alpha`, rounded. Alpha is the last
 * channel. Where alpha is 0 nothing is left to recover, and the colour becomes 0.
 */
export function straighten(data: SampleData, channels: number): void {
  const max = data instanceof Uint8Array ? 255 : 65535;
  const colours = channels - 1;
  for (let pixel = 0; pixel < data.length; pixel += channels) {
    const alpha = data[pixel + colours];
    if (alpha === max) continue;
    for (let i = pixel; i < pixel + colours; i++) {
      data[i] = alpha === 0 ? 0 : Math.min(max, Math.round((data[i] * max) / alpha));
    }
  }
}

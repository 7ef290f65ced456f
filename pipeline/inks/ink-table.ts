import type { TableTransform } from '../../config/press/colour-engine.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';

/** Looks up `count` interleaved pixels of 8 bit that stand in kernel memory at `from`; their CMYK goes to `to`. */
export type LookUp = (from: number, count: number, to: number) => void;

/** A conversion of 8-bit pixels to inks that works within kernel memory. */
export interface InkTable {
  /** What it needs of the scratch, in bytes. */
  readonly bytes: number;
  /** Brings it to a place in the scratch, where it holds until the scratch is laid out anew. */
  open(place: number, memory: KernelMemory): LookUp;
}

/** Samples of 8 bit along each axis, and the bytes that the kernel reads for each. */
const levels = 256;
const levelBytes = 8;

/** Four inks of 16 bit. */
const nodeBytes = 8;

/** Full ink in a node: 255 in 8 bit, with eight more bits to interpolate in. */
const solid = 255 * 256;

/** A table for pixels of three samples, for the kernel `lookUp`: the engine's numbers, bit for bit, in two thirds of its time. */
export function rgbInkTable(nodes: Float64Array, gridPoints: number): InkTable {
  const axes = 3 * levels * levelBytes;
  const steps = [gridPoints ** 2 * nodeBytes, gridPoints * nodeBytes, nodeBytes];
  // The last nodes have no neighbours; the kernel reads beyond them, with a weight of nothing.
  const beyond = steps.reduce((sum, step) => sum + step);
  const table = new Uint8Array(axes + nodes.length * 2 + beyond);
  const view = new DataView(table.buffer);
  for (const [axis, step] of steps.entries()) {
    for (let level = 0; level < levels; level++) {
      const { node, share } = positionOf(level, gridPoints);
      const at = (axis * levels + level) * levelBytes;
      view.setUint32(at, share * 2 ** 24 + step, true);
      view.setUint32(at + 4, node * step, true);
    }
  }
  for (let i = 0; i < nodes.length; i++) {
    const ink = Math.round(Math.min(1, Math.max(0, nodes[i])) * solid);
    view.setInt16(axes + i * 2, ink - 32768, true);
  }
  return {
    bytes: table.length,
    open(place, memory) {
      memory.addressOf(table, place);
      return (from, count, to) => memory.kernels.lookUp(from, count, place, place + axes, to);
    },
  };
}

/** The node at or below a level, and how far it is to the next, in 256ths. Worked out in fixed point with 16 bits. */
function positionOf(level: number, gridPoints: number): { node: number; share: number } {
  if (level === levels - 1) return { node: gridPoints - 1, share: 0 };
  const position = level * Math.round(((gridPoints - 1) * 65536) / (levels - 1));
  return { node: position >> 16, share: (position >> 8) & 255 };
}

/** A table for pixels of four samples, looked up by the engine. */
export function engineInkTable(table: TableTransform): InkTable {
  return {
    bytes: 0,
    open: (_place, memory) => (from, count, to) => {
      const inks = memory.view(to, count * 4);
      const clamped = new Uint8ClampedArray(inks.buffer, inks.byteOffset, inks.length);
      table.run(memory.view(from, count * table.inputChannels), count, clamped);
    },
  };
}

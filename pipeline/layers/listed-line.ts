import type { KernelMemory } from '../kernels/kernel-memory.js';
import { markLine } from './canvas.js';
import type { LineTile } from './tile-pool.js';
import { type Box, type Tile, tilePixels, tileSide } from './tiles.js';

/** Bytes of a tile with alpha, and of what 16 bit a pixel take. */
const tileBytes = tilePixels * 8;
const twoBytes = tilePixels * 2;

/** Room for one row of tiles, as long as its line is looked at. Nothing else is laid out in the scratch meanwhile. */
export interface LineRoom {
  /** A byte for each pixel of the row of tiles. */
  readonly rows: number;
  readonly tile: number;
  readonly amount: number;
  readonly marks: number;
  readonly list: number;
  readonly sure: number;
}

/** @param width of the page, in pixels */
export function lineRoom(width: number, memory: KernelMemory): LineRoom {
  const sizes = [tileSide * width, tileBytes, twoBytes, tilePixels, twoBytes, 4];
  const [rows, tile, amount, marks, list, sure] = memory.scratch(...sizes);
  return { rows, tile, amount, marks, list, sure };
}

/**
 * Brings the line of a tile to 8 bit, in its place of the room's rows, and lists the pixels that have to be judged: all with line but
 * those that are full of it and as black on the page as black ink over anything.
 * @param full the page as it looks
 * @param box of the tile, on a page of `width` pixels
 * @returns 32 times the row of each pixel and its column; holds until the next tile is listed
 */
export function listLine(
  { amount }: LineTile,
  full: Tile,
  { left, top, right, bottom }: Box,
  width: number,
  room: LineRoom,
  memory: KernelMemory,
): Uint16Array {
  const count = memory.kernels.listLine(
    memory.addressOf(amount, room.amount),
    memory.addressOf(full, room.tile),
    right - left,
    bottom - top,
    room.rows + left,
    width,
    room.list,
  );
  return listed(count, room, memory);
}

/**
 * Lists the pixels of a tile whose line has to be decided one by one: all but those that nothing is marked and doubted of, and those
 * that have the threshold's amount and are sure.
 * @param doubts where the doubt of the row of tiles begins
 * @param most doubt up to which a pixel is sure
 * @param threshold amount of line, 0 to 65535
 * @returns the pixels as `listLine` does, and how many of the others are line
 */
export function listDoubtful(
  { amount, marks }: LineTile,
  doubts: number,
  most: number,
  threshold: number,
  { left, top, right, bottom }: Box,
  width: number,
  room: LineRoom,
  memory: KernelMemory,
): { readonly pixels: Uint16Array; readonly sureLine: number } {
  const count = memory.kernels.listDoubtful(
    doubts + left,
    width,
    most,
    memory.addressOf(marks, room.marks),
    markLine,
    memory.addressOf(amount, room.amount),
    Math.ceil(threshold),
    right - left,
    bottom - top,
    room.list,
    room.sure,
  );
  const { buffer, byteOffset } = memory.view(room.sure, 4);
  return { pixels: listed(count, room, memory), sureLine: new Uint32Array(buffer, byteOffset, 1)[0] };
}

function listed(count: number, { list }: LineRoom, memory: KernelMemory): Uint16Array {
  const { buffer, byteOffset } = memory.view(list, count * 2);
  return new Uint16Array(buffer, byteOffset, count);
}

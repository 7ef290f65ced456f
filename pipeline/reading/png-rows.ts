import { Readable } from 'node:stream';
import { crc32, createInflate, type Inflate } from 'node:zlib';
import { messageOf } from '../../config/errors.js';
import type { PageArena } from '../kernels/page-arena.js';
import { channelsOf } from '../model/raster.js';
import type { LayerRows } from '../model/working-page.js';
import { damaged } from './byte-source.js';
import { colourTypes, pngSignature } from './png-picture.js';

/**
 * A PNG, row by row: for layers, of which a page has many, and of which most rows are laid and forgotten. Inflating them in pieces that
 * stay in the processor's cache takes a fifth of what decoding whole pictures does. Only what is plain is read here (8 bit, no
 * palette, not interlaced); all else, and what is not in order, is left to the library, which also says what is wrong with it.
 */

/** The colour type (PNG 11.2.1) of which samples are places in a palette. */
const paletteType = 3;

/** Some rows of a wider picture do not fit into the scratch. */
const widestPx = 32_000;

/** Bytes that are inflated at a time: some rows of a page. Small enough for the processor's cache; own choice, measured. */
const inflatedAtATime = 512 * 1024;

/** Its parts, as far as they are needed to decode it. */
interface PlainPng extends Pick<LayerRows, 'width' | 'height' | 'model' | 'alpha'> {
  /** What its IDAT chunks hold. */
  readonly packed: readonly Buffer[];
}

/**
 * Opens a PNG to be read row by row.
 * @param bytes the whole file
 * @param name for messages
 * @returns undefined for one that is to be decoded as a whole
 */
export function openPngRows(bytes: Buffer, name: string, arena: PageArena): LayerRows | undefined {
  const plain = plainPng(bytes);
  if (plain === undefined) return undefined;
  const { packed, ...facts } = plain;
  return new PngRows(facts, packed, name, arena);
}

/** Takes a PNG apart; undefined where it is not plain, or not in order. */
function plainPng(bytes: Buffer): PlainPng | undefined {
  if (!bytes.subarray(0, pngSignature.length).equals(pngSignature)) return undefined;
  let facts: Omit<PlainPng, 'packed'> | undefined;
  let before = '';
  const packed: Buffer[] = [];
  for (let at = pngSignature.length; at + 12 <= bytes.length; ) {
    const length = bytes.readUInt32BE(at);
    const type = bytes.toString('latin1', at + 4, at + 8);
    const end = at + 8 + length;
    if (end + 4 > bytes.length || crc32(bytes.subarray(at + 4, end)) !== bytes.readUInt32BE(end))
      return undefined;
    const content = bytes.subarray(at + 8, end);
    if (type === 'IHDR') facts ??= plainHeader(content);
    else if (type === 'IDAT' && (packed.length === 0 || before === type)) packed.push(content);
    else if (type === 'IEND') return facts && packed.length > 0 ? { ...facts, packed } : undefined;
    else if (!isPassedOver(type)) return undefined;
    before = type;
    at = end + 4;
  }
  return undefined;
}

/** Ancillary chunks (5.4) change no sample, but for tRNS, which makes one colour transparent. */
function isPassedOver(type: string): boolean {
  return (type.charCodeAt(0) & 0x20) !== 0 && type !== 'tRNS';
}

function plainHeader(header: Buffer): Omit<PlainPng, 'packed'> | undefined {
  if (header.length !== 13) return undefined;
  const [bits, type, compression, filter, interlace] = header.subarray(8);
  const colours = colourTypes[type];
  const [width, height] = [header.readUInt32BE(0), header.readUInt32BE(4)];
  const isPlain = bits === 8 && compression === 0 && filter === 0 && interlace === 0;
  if (!isPlain || colours === undefined || type === paletteType || width > widestPx) return undefined;
  const { model, alpha } = colours;
  return { width, height, model, alpha };
}

/** Bytes that are given to be inflated at a time: chunks are mostly small, and each would be a piece of work of its own. */
const packedAtATime = 256 * 1024;

/** What is packed, chunks put together as far as they are small. */
function* handfuls(packed: readonly Buffer[]): Generator<Buffer> {
  let held: Buffer[] = [];
  let bytes = 0;
  for (const chunk of packed) {
    held.push(chunk);
    bytes += chunk.length;
    if (bytes < packedAtATime) continue;
    yield held.length === 1 ? held[0] : Buffer.concat(held);
    [held, bytes] = [[], 0];
  }
  yield Buffer.concat(held);
}

class PngRows implements LayerRows {
  readonly width: number;
  readonly height: number;
  readonly model: LayerRows['model'];
  readonly alpha: boolean;
  private readonly pixelBytes: number;
  private readonly rowBytes: number;
  private readonly inflate: Inflate;
  private readonly pieces: AsyncIterator<Buffer>;
  private piece: Buffer = Buffer.alloc(0);
  private readonly above: Uint8Array;
  private left: number;

  constructor(
    facts: Omit<PlainPng, 'packed'>,
    packed: readonly Buffer[],
    private readonly name: string,
    private readonly arena: PageArena,
  ) {
    this.width = facts.width;
    this.height = facts.height;
    this.model = facts.model;
    this.alpha = facts.alpha;
    this.pixelBytes = channelsOf(facts);
    this.rowBytes = facts.width * this.pixelBytes;
    this.left = facts.height;
    this.above = new Uint8Array(this.rowBytes);
    this.inflate = createInflate({ chunkSize: inflatedAtATime });
    this.pieces = this.inflate[Symbol.asyncIterator]() as AsyncIterator<Buffer>;
    Readable.from(handfuls(packed)).pipe(this.inflate);
  }

  async next(rows: number, into: Uint8Array): Promise<void> {
    const { rowBytes, pixelBytes, arena } = this;
    const packedBytes = rows * (rowBytes + 1);
    if (rows > this.left) throw new Error('a layer has no such rows');
    // All pieces first: while they are waited for, others may use the scratch.
    const parts = await this.taken(packedBytes);
    const [from, above, to] = arena.scratch(packedBytes, rowBytes, rows * rowBytes);
    let at = 0;
    for (const part of parts) {
      arena.view(from + at, part.length).set(part);
      at += part.length;
    }
    const before = arena.addressOf(this.above, above);
    const out = arena.writableAddress(into, to);
    if (arena.kernels.unfilterRows(from, rowBytes, rows, pixelBytes, before, out) === 0)
      throw damaged(this.name, 'its rows are packed by a filter that PNG does not have');
    this.above.set(arena.view(out + (rows - 1) * rowBytes, rowBytes));
    arena.store(out, into.subarray(0, rows * rowBytes));
    this.left -= rows;
  }

  async end(): Promise<void> {
    // What nobody wants is inflated all the same, as far as the size goes: only so is it known that the file is whole.
    let missing = this.left * (this.rowBytes + 1) - this.piece.length;
    while (missing >= 0) {
      const next = await this.pull();
      if (next === undefined) break;
      missing -= next.length;
    }
    if (missing !== 0) throw damaged(this.name, 'its pixels do not fill its size');
  }

  close(): void {
    this.inflate.destroy();
  }

  /** So many inflated bytes, in pieces. */
  private async taken(length: number): Promise<readonly Buffer[]> {
    const parts: Buffer[] = [];
    let missing = length;
    while (missing > 0) {
      if (this.piece.length === 0) {
        const next = await this.pull();
        if (next === undefined) throw damaged(this.name, 'its pixels end before its last row');
        this.piece = next;
      }
      const part = this.piece.subarray(0, missing);
      this.piece = this.piece.subarray(part.length);
      missing -= part.length;
      parts.push(part);
    }
    return parts;
  }

  private async pull(): Promise<Buffer | undefined> {
    try {
      const next = await this.pieces.next();
      return next.done === true ? undefined : next.value;
    } catch (thrown) {
      throw damaged(this.name, `its pixels cannot be decoded (${messageOf(thrown)})`, thrown);
    }
  }
}

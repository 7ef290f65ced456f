import { counted } from '../figures.js';

/**
 * Checks on the parts of an ICC profile that a colour engine computes with: curves and multidimensional tables. Every
 * read is held inside the tag, and every size that a tag states is held against the bytes that are there.
 * Layouts after ICC.1 (version 2 and 4): curveType, parametricCurveType, lut8Type, lut16Type, lutAToBType, lutBToAType.
 */

/** What makes a profile unusable; the sentence goes into the message for the user. */
export class IccFault extends Error {}

/** Bytes of one tag, or of the whole profile; reading past the end is a fault. */
export class IccBytes {
  /** How many bytes there are. */
  readonly length: number;
  /** The same bytes, to read numbers from. */
  private readonly view: DataView;

  /**
   * @param bytes of one tag, or of the whole profile
   * @param name what messages call them, such as `A2B0 tag`
   */
  constructor(
    bytes: Uint8Array,
    private readonly name: string,
  ) {
    this.length = bytes.byteLength;
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  }

  /** uInt8Number, 0 to 255. */
  uint8(offset: number): number {
    this.hold(offset, 1);
    return this.view.getUint8(offset);
  }

  /** uInt16Number, big-endian, 0 to 65,535. */
  uint16(offset: number): number {
    this.hold(offset, 2);
    return this.view.getUint16(offset);
  }

  /** uInt32Number, big-endian. */
  uint32(offset: number): number {
    this.hold(offset, 4);
    return this.view.getUint32(offset);
  }

  /** s15Fixed16Number: -32,768 to nearly 32,768 in steps of 1/65,536. */
  fixed(offset: number): number {
    this.hold(offset, 4);
    return this.view.getInt32(offset) / 65536;
  }

  /** Four characters. */
  signature(offset: number): string {
    this.hold(offset, 4);
    let text = '';
    for (let index = 0; index < 4; index++) text += String.fromCharCode(this.view.getUint8(offset + index));
    return text;
  }

  /** XYZType: the three numbers behind its eight bytes of type. */
  xyz(): [number, number, number] {
    if (this.signature(0) !== 'XYZ ') throw new IccFault(`its ${this.name} tag is not of type XYZ`);
    return [this.fixed(8), this.fixed(12), this.fixed(16)];
  }

  /** Throws unless `bytes` bytes lie at `offset`. */
  hold(offset: number, bytes: number): void {
    if (offset < 0 || offset + bytes > this.length) throw new IccFault(`its ${this.name} is cut short`);
  }

  /** The fault that says `its A2B0 tag ...`. */
  fault(what: string): IccFault {
    return new IccFault(`its ${this.name} ${what}`);
  }
}

/** The fewest parameters of each parametric curve function, ICC.1 table of parametricCurveType. */
const parametersOf = [1, 3, 4, 5, 7];

/**
 * Checks one curve, of type `curv` or `para`.
 * @returns its length in bytes, not padded
 */
export function checkCurve(bytes: IccBytes, offset: number): number {
  const type = bytes.signature(offset);
  if (type === 'curv') {
    const entries = bytes.uint32(offset + 8);
    bytes.hold(offset + 12, entries * 2);
    if (entries === 1 && bytes.uint16(offset + 12) === 0) throw bytes.fault('has a curve with gamma 0');
    return 12 + entries * 2;
  }
  if (type !== 'para') throw bytes.fault('has a curve of an unknown type');
  const parameters = parametersOf[bytes.uint16(offset + 8)];
  if (parameters === undefined) throw bytes.fault('has a parametric curve of an unknown kind');
  bytes.hold(offset + 12, parameters * 4);
  const gamma = bytes.fixed(offset + 12);
  if (gamma <= 0) throw bytes.fault('has a parametric curve whose gamma is not above 0');
  if (parameters > 1 && bytes.fixed(offset + 16) <= 0) {
    throw bytes.fault('has a parametric curve that does not rise');
  }
  return 12 + parameters * 4;
}

/**
 * Checks a table of type `mft1`, `mft2`, `mAB ` or `mBA `.
 * @param inputs channels that it must take
 * @param outputs channels that it must give
 */
export function checkTable(bytes: IccBytes, inputs: number, outputs: number): void {
  const type = bytes.signature(0);
  if (!['mft1', 'mft2', 'mAB ', 'mBA '].includes(type)) throw bytes.fault('is a table of an unknown type');
  const [takes, gives] = [bytes.uint8(8), bytes.uint8(9)];
  if (takes !== inputs || gives !== outputs) {
    throw bytes.fault(
      `turns ${counted(takes, 'channel')} into ${gives} instead of ${inputs} into ${outputs}`,
    );
  }
  if (type === 'mft1' || type === 'mft2') checkOlderTable(bytes, type === 'mft1' ? 1 : 2, inputs, outputs);
  else checkNewerTable(bytes, type, inputs, outputs);
}

function checkOlderTable(bytes: IccBytes, width: 1 | 2, inputs: number, outputs: number): void {
  // Only tables from XYZ may have another matrix, and jscolorengine 1.6 would pass over it without a word.
  const identity = [1, 0, 0, 0, 1, 0, 0, 0, 1];
  if (inputs === 3 && identity.some((value, index) => Math.abs(bytes.fixed(12 + 4 * index) - value) > 1e-3)) {
    throw bytes.fault('computes with a matrix before its grid, which is not supported');
  }
  const grid = bytes.uint8(10);
  if (grid < 2) throw bytes.fault('has a grid of fewer than 2 points');
  let [inputEntries, outputEntries, start] = [256, 256, 48];
  if (width === 2) {
    [inputEntries, outputEntries, start] = [bytes.uint16(48), bytes.uint16(50), 52];
    // lut16Type: 2 to 4096 entries.
    for (const entries of [inputEntries, outputEntries]) {
      if (entries < 2 || entries > 4096) throw bytes.fault(`has curves of ${entries} entries`);
    }
  }
  const values = inputEntries * inputs + grid ** inputs * outputs + outputEntries * outputs;
  bytes.hold(start, values * width);
}

function checkNewerTable(bytes: IccBytes, type: string, inputs: number, outputs: number): void {
  const [b, matrix, m, clut, a] = [12, 16, 20, 24, 28].map((offset) => bytes.uint32(offset)) as [
    number,
    number,
    number,
    number,
    number,
  ];
  // mAB runs A curves, CLUT, M curves, matrix, B curves from device to PCS; mBA the other way round.
  const [deviceSide, pcsSide] = type === 'mAB ' ? [inputs, outputs] : [outputs, inputs];
  if (b === 0) throw bytes.fault('lacks its B curves');
  if ((a === 0) !== (clut === 0))
    throw bytes.fault('has A curves without a grid, or a grid without A curves');
  if (clut === 0 && inputs !== outputs) throw bytes.fault('lacks its grid');
  if ((m === 0) !== (matrix === 0))
    throw bytes.fault('has M curves without a matrix, or a matrix without them');
  for (const [offset, count] of [
    [b, pcsSide],
    [m, pcsSide],
    [a, deviceSide],
  ] as const) {
    if (offset !== 0) checkCurves(bytes, offset, count);
  }
  if (matrix !== 0) bytes.hold(matrix, 48);
  if (clut !== 0) checkGrid(bytes, clut, inputs, outputs);
}

function checkCurves(bytes: IccBytes, offset: number, count: number): void {
  let at = offset;
  for (let index = 0; index < count; index++) at += Math.ceil(checkCurve(bytes, at) / 4) * 4;
}

function checkGrid(bytes: IccBytes, offset: number, inputs: number, outputs: number): void {
  bytes.hold(offset, 20);
  let values = outputs;
  for (let index = 0; index < inputs; index++) {
    const points = bytes.uint8(offset + index);
    if (points < 2) throw bytes.fault('has a grid of fewer than 2 points');
    values *= points;
  }
  const width = bytes.uint8(offset + 16);
  if (width !== 1 && width !== 2) throw bytes.fault('has a grid of neither 8 nor 16 bit');
  bytes.hold(offset + 20, values * width);
}

/** The text of a `desc` tag: textDescriptionType of version 2, multiLocalizedUnicodeType of version 4. */
export function readDescription(tag: IccBytes | undefined): string {
  if (tag === undefined || tag.length < 16) return '';
  const codes: number[] = [];
  if (tag.signature(0) === 'desc') {
    const end = Math.min(12 + tag.uint32(8), tag.length, 212);
    for (let at = 12; at < end; at++) codes.push(tag.uint8(at));
  } else if (tag.signature(0) === 'mluc' && tag.length >= 28) {
    const start = tag.uint32(24);
    const end = Math.min(start + tag.uint32(20), tag.length - 1, start + 400);
    for (let at = start; at < end; at += 2) codes.push(tag.uint16(at));
  }
  const text = String.fromCharCode(...codes);
  // Control characters and the padding that ends the text say nothing to a reader.
  return [...text]
    .filter((letter) => letter >= ' ' && letter !== '\u007f')
    .join('')
    .trim();
}

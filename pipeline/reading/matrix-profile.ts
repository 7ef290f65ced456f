/**
 * ICC profiles for colour that a file describes in its own words: by primaries, white and a curve. Layout after ICC.1:2001
 * (version 2), which every reader of profiles understands.
 */

/** CIE x and y. */
export type Chromaticity = readonly [x: number, y: number];

/** The three primaries and the white of an RGB space. */
export interface Primaries {
  readonly white: Chromaticity;
  readonly red: Chromaticity;
  readonly green: Chromaticity;
  readonly blue: Chromaticity;
}

/** From a sample, 0 to 1, to linear light, 0 to 1. */
export type Curve = (sample: number) => number;

type Vector = readonly [number, number, number];
type Matrix = readonly [Vector, Vector, Vector];

/** The white of the profile connection space: ICC.1, 7.2.16. */
const d50: Vector = [0.9642, 1, 0.8249];

/** Bradford's cone responses: ICC.1, annex E. */
const bradford: Matrix = [
  [0.8951, 0.2664, -0.1614],
  [-0.7502, 1.7135, 0.0367],
  [0.0389, -0.0685, 1.0296],
];

/** Entries of a curve: between them, readers interpolate; with so many they miss no 8-bit step. */
const curveEntries = 4096;

/** A profile of RGB. @returns undefined where the primaries span no space */
export function rgbProfile(primaries: Primaries, curve: Curve, name: string): Uint8Array | undefined {
  const columns = adaptedPrimaries(primaries);
  if (columns === undefined) return undefined;
  const trc = curveTag(curve);
  return profileOf('RGB ', {
    desc: descriptionTag(name),
    wtpt: xyzTag(d50),
    rXYZ: xyzTag(columns[0]),
    gXYZ: xyzTag(columns[1]),
    bXYZ: xyzTag(columns[2]),
    rTRC: trc,
    gTRC: trc,
    bTRC: trc,
  });
}

/** A profile of grey. */
export function greyProfile(curve: Curve, name: string): Uint8Array {
  return profileOf('GRAY', { desc: descriptionTag(name), wtpt: xyzTag(d50), kTRC: curveTag(curve) });
}

/** XYZ of the primaries beside the white of the connection space, a vector each. */
function adaptedPrimaries({ white, red, green, blue }: Primaries): Matrix | undefined {
  if ([white, red, green, blue].some(([x, y]) => !(y > 0) || !(x >= 0) || x + y > 1)) return undefined;
  const whiteXyz = xyzOf(white);
  const [r, g, b] = [xyzOf(red), xyzOf(green), xyzOf(blue)];
  const toXyz = transposed([r, g, b]);
  const inverse = inverted(toXyz);
  if (inverse === undefined) return undefined;
  // So much of each primary makes white.
  const [sr, sg, sb] = times(inverse, whiteXyz);
  const adapt = adaptation(whiteXyz);
  return [times(adapt, scaled(r, sr)), times(adapt, scaled(g, sg)), times(adapt, scaled(b, sb))];
}

/** Takes colours from beside one white to beside that of the connection space. */
function adaptation(white: Vector): Matrix {
  const [from, to] = [times(bradford, white), times(bradford, d50)];
  const gains = bradford.map((row, i) => scaled(row, to[i] / from[i])) as unknown as Matrix;
  const back = inverted(bradford);
  if (back === undefined) throw new Error('the cone responses span no space');
  const columns = transposed(gains).map((column) => times(back, column)) as unknown as Matrix;
  return transposed(columns);
}

function xyzOf([x, y]: Chromaticity): Vector {
  return [x / y, 1, (1 - x - y) / y];
}

function scaled([a, b, c]: Vector, by: number): Vector {
  return [a * by, b * by, c * by];
}

function times(matrix: Matrix, [x, y, z]: Vector): Vector {
  const row = ([a, b, c]: Vector) => a * x + b * y + c * z;
  return [row(matrix[0]), row(matrix[1]), row(matrix[2])];
}

function transposed([[a, b, c], [d, e, f], [g, h, i]]: Matrix): Matrix {
  return [
    [a, d, g],
    [b, e, h],
    [c, f, i],
  ];
}

function inverted([[a, b, c], [d, e, f], [g, h, i]]: Matrix): Matrix | undefined {
  const determinant = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
  if (Math.abs(determinant) < 1e-9) return undefined;
  const rows: Matrix = [
    [e * i - f * h, c * h - b * i, b * f - c * e],
    [f * g - d * i, a * i - c * g, c * d - a * f],
    [d * h - e * g, b * g - a * h, a * e - b * d],
  ];
  return rows.map((row) => scaled(row, 1 / determinant)) as unknown as Matrix;
}

/** Header, tag table and tags; equal tags are written once. */
function profileOf(space: string, tags: Readonly<Record<string, Buffer>>): Uint8Array {
  const names = Object.keys(tags);
  const places = new Map<Buffer, number>();
  let end = 132 + 12 * names.length;
  for (const tag of Object.values(tags)) {
    if (places.has(tag)) continue;
    places.set(tag, end);
    end += Math.ceil(tag.length / 4) * 4;
  }
  const out = Buffer.alloc(end);
  out.writeUInt32BE(end, 0);
  out.writeUInt32BE(0x02400000, 8);
  out.write(`mntr${space}XYZ `, 12, 'latin1');
  out.write('acsp', 36, 'latin1');
  writeXyz(out, 68, d50);
  out.writeUInt32BE(names.length, 128);
  for (const [i, name] of names.entries()) {
    const at = places.get(tags[name]) ?? 0;
    out.write(name, 132 + 12 * i, 'latin1');
    out.writeUInt32BE(at, 136 + 12 * i);
    out.writeUInt32BE(tags[name].length, 140 + 12 * i);
    tags[name].copy(out, at);
  }
  return Uint8Array.from(out);
}

function xyzTag(values: Vector): Buffer {
  const tag = Buffer.alloc(20);
  tag.write('XYZ ', 0, 'latin1');
  writeXyz(tag, 8, values);
  return tag;
}

/** s15Fixed16Number, three of them. */
function writeXyz(out: Buffer, at: number, values: Vector): void {
  for (const [i, value] of values.entries()) out.writeInt32BE(Math.round(value * 65536), at + 4 * i);
}

function curveTag(curve: Curve): Buffer {
  const tag = Buffer.alloc(12 + 2 * curveEntries);
  tag.write('curv', 0, 'latin1');
  tag.writeUInt32BE(curveEntries, 8);
  for (let i = 0; i < curveEntries; i++) {
    const light = Math.min(1, Math.max(0, curve(i / (curveEntries - 1))));
    tag.writeUInt16BE(Math.round(light * 65535), 12 + 2 * i);
  }
  return tag;
}

/** textDescriptionType: the ASCII text, and no others. */
function descriptionTag(text: string): Buffer {
  const tag = Buffer.alloc(12 + text.length + 1 + 78);
  tag.write('desc', 0, 'latin1');
  tag.writeUInt32BE(text.length + 1, 8);
  tag.write(text, 12, 'latin1');
  return tag;
}

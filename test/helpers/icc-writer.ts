/** Small ICC profiles of our own making, for pictures that bring one. Layout after ICC.1:2001 (version 2). */

export type Tags = Readonly<Record<string, Uint8Array>>;

const d50 = [0.9642, 1, 0.8249];

/** An RGB display profile: primaries (XYZ, adapted to D50), one gamma for all. */
export function rgbProfile(
  primaries: readonly (readonly number[])[],
  gamma: number,
  name = 'RGB of a test',
): Uint8Array {
  const [red = [], green = [], blue = []] = primaries;
  return writeProfile('mntr', 'RGB ', 'XYZ ', {
    desc: description(name),
    wtpt: xyz(d50),
    rXYZ: xyz(red),
    gXYZ: xyz(green),
    bXYZ: xyz(blue),
    rTRC: gammaCurve(gamma),
    gTRC: gammaCurve(gamma),
    bTRC: gammaCurve(gamma),
  });
}

/** A wide RGB whose primaries are not those of sRGB; the columns add up to D50. */
export const widePrimaries = [
  [0.6097, 0.3111, 0.0195],
  [0.2053, 0.6257, 0.0609],
  [0.1492, 0.0632, 0.7445],
] as const;

/** A grey profile with one gamma. */
export function greyProfile(gamma: number): Uint8Array {
  return writeProfile('mntr', 'GRAY', 'XYZ ', {
    desc: description('grey of a test'),
    wtpt: xyz(d50),
    kTRC: gammaCurve(gamma),
  });
}

export function writeProfile(deviceClass: string, space: string, pcs: string, tags: Tags): Uint8Array {
  const names = Object.keys(tags);
  const start = 132 + 12 * names.length;
  const size = names.reduce((sum, name) => sum + padded(tags[name].length), start);
  const out = new Uint8Array(size);
  const view = new DataView(out.buffer);
  view.setUint32(0, size);
  view.setUint32(8, 0x02400000);
  letters(out, 12, deviceClass);
  letters(out, 16, space);
  letters(out, 20, pcs);
  letters(out, 36, 'acsp');
  d50.forEach((value, index) => {
    view.setInt32(68 + 4 * index, Math.round(value * 65536));
  });
  view.setUint32(128, names.length);
  let at = start;
  names.forEach((name, index) => {
    letters(out, 132 + 12 * index, name);
    view.setUint32(136 + 12 * index, at);
    view.setUint32(140 + 12 * index, tags[name].length);
    out.set(tags[name], at);
    at += padded(tags[name].length);
  });
  return out;
}

function xyz(values: readonly number[]): Uint8Array {
  const out = new Uint8Array(20);
  letters(out, 0, 'XYZ ');
  values.forEach((value, index) => {
    new DataView(out.buffer).setInt32(8 + 4 * index, Math.round(value * 65536));
  });
  return out;
}

/** curveType of one entry: a gamma as u8Fixed8Number. */
function gammaCurve(gamma: number): Uint8Array {
  const out = new Uint8Array(14);
  letters(out, 0, 'curv');
  const view = new DataView(out.buffer);
  view.setUint32(8, 1);
  view.setUint16(12, Math.round(gamma * 256));
  return out;
}

function description(text: string): Uint8Array {
  const out = new Uint8Array(12 + text.length + 1 + 78);
  letters(out, 0, 'desc');
  new DataView(out.buffer).setUint32(8, text.length + 1);
  letters(out, 12, text);
  return out;
}

function letters(out: Uint8Array, at: number, text: string): void {
  for (let index = 0; index < text.length; index++) out[at + index] = text.charCodeAt(index);
}

function padded(size: number): number {
  return Math.ceil(size / 4) * 4;
}

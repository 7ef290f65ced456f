import { inflateSync } from 'node:zlib';
import type { Noticed } from '../model/findings.js';
import type { ColourModel } from '../model/raster.js';
import { type Chromaticity, type Curve, greyProfile, type Primaries, rgbProfile } from './matrix-profile.js';

/** A profile unpacks to no more than this; the largest printer profiles take some 4 MB. */
const maxProfileBytes = 32 * 1024 * 1024;

/** What the numbers of a PNG mean. */
export interface PngColour {
  /** As an ICC profile; undefined where the file does not say. */
  readonly profile: Uint8Array | undefined;
  readonly noticed: readonly Noticed[];
}

/** The chunks before the pixels, by name. */
type Chunks = ReadonlyMap<string, Buffer>;

const d65: Chromaticity = [0.3127, 0.329];

/** Primaries of ITU-R BT.709, which are those of sRGB (IEC 61966-2-1). */
const bt709: Primaries = { white: d65, red: [0.64, 0.33], green: [0.3, 0.6], blue: [0.15, 0.06] };

/** Colour primaries by their code points in ITU-T H.273, table 2: from memory, held against another library by a test. */
const codedPrimaries: Readonly<Record<number, Primaries>> = {
  1: bt709,
  5: { white: d65, red: [0.64, 0.33], green: [0.29, 0.6], blue: [0.15, 0.06] },
  6: { white: d65, red: [0.63, 0.34], green: [0.31, 0.595], blue: [0.155, 0.07] },
  7: { white: d65, red: [0.63, 0.34], green: [0.31, 0.595], blue: [0.155, 0.07] },
  9: { white: d65, red: [0.708, 0.292], green: [0.17, 0.797], blue: [0.131, 0.046] },
  11: { white: [0.314, 0.351], red: [0.68, 0.32], green: [0.265, 0.69], blue: [0.15, 0.06] },
  12: { white: d65, red: [0.68, 0.32], green: [0.265, 0.69], blue: [0.15, 0.06] },
};

/** IEC 61966-2-1. */
const srgbCurve: Curve = (v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);

/** The inverse of ITU-R BT.709's curve. */
const bt709Curve: Curve = (v) => (v < 0.081 ? v / 4.5 : ((v + 0.099) / 1.099) ** (1 / 0.45));

const power =
  (exponent: number): Curve =>
  (v) =>
    v ** exponent;

/** Transfer characteristics by their code points in ITU-T H.273, table 3: from memory. Those for high dynamic range are not print. */
const codedCurves: Readonly<Record<number, Curve>> = {
  1: bt709Curve,
  4: power(2.2),
  5: power(2.8),
  6: bt709Curve,
  8: power(1),
  13: srgbCurve,
  14: bt709Curve,
  15: bt709Curve,
};

/**
 * Finds out what the numbers of a PNG mean, in the order of the PNG specification, third edition (4.3): cICP counts before iCCP,
 * iCCP before sRGB, and sRGB before gAMA with cHRM. What is damaged, or not for print, is told and passed over.
 */
export function pngColour(chunks: Chunks, model: ColourModel): PngColour {
  const noticed: Noticed[] = [];
  const coded = chunks.get('cICP');
  if (coded !== undefined) {
    const profile = codedProfile(coded, model);
    if (profile !== undefined) return { profile, noticed: [statesColour('cICP')] };
    noticed.push(colourUnsupported);
  }
  const embedded = chunks.get('iCCP');
  if (embedded !== undefined) {
    const profile = unpackProfile(embedded);
    if (profile !== undefined) return { profile, noticed };
    noticed.push(profileUnreadable);
  }
  if (chunks.has('sRGB')) {
    return { profile: described(bt709, srgbCurve, model, 'sRGB'), noticed: [...noticed, statesSrgb] };
  }
  const profile = measuredProfile(chunks, model);
  return { profile, noticed: profile === undefined ? noticed : [...noticed, statesColour('gAMA')] };
}

/** cICP: colour primaries, transfer characteristics, matrix coefficients (0 is RGB), full range (1). */
function codedProfile(chunk: Buffer, model: ColourModel): Uint8Array | undefined {
  const [primaries, transfer, matrix, range] = chunk;
  const curve = codedCurves[transfer];
  const space = codedPrimaries[primaries];
  const isPlain = chunk.length === 4 && matrix === 0 && range === 1;
  if (!isPlain || curve === undefined || space === undefined) return undefined;
  return described(space, curve, model, `cICP ${primaries} ${transfer}`);
}

/**
 * gAMA: an exponent times 100 000 by which light became samples. cHRM: white, red, green and blue, x and y of each times 100 000;
 * without it the primaries are not known, and those of sRGB are taken, as for untagged colour.
 */
function measuredProfile(chunks: Chunks, model: ColourModel): Uint8Array | undefined {
  const gamma = chunks.get('gAMA');
  if (gamma?.length !== 4 || gamma.readUInt32BE(0) === 0) return undefined;
  const curve = power(100_000 / gamma.readUInt32BE(0));
  const stated = chunks.get('cHRM');
  if (stated?.length !== 32) return described(bt709, curve, model, 'gAMA');
  const at = (i: number): Chromaticity => [
    stated.readUInt32BE(8 * i) / 100_000,
    stated.readUInt32BE(8 * i + 4) / 100_000,
  ];
  const primaries = { white: at(0), red: at(1), green: at(2), blue: at(3) };
  return described(primaries, curve, model, 'gAMA and cHRM');
}

function described(
  primaries: Primaries,
  curve: Curve,
  model: ColourModel,
  chunk: string,
): Uint8Array | undefined {
  const name = `stated by a PNG: ${chunk}`;
  return model === 'grey' ? greyProfile(curve, name) : rgbProfile(primaries, curve, name);
}

/** iCCP (PNG 11.3.2.3): a name, a zero, the method 0, then the profile in a zlib stream. */
function unpackProfile(chunk: Buffer): Uint8Array | undefined {
  const nameEnd = chunk.indexOf(0);
  if (nameEnd < 0 || chunk[nameEnd + 1] !== 0) return undefined;
  try {
    return inflateSync(chunk.subarray(nameEnd + 2), { maxOutputLength: maxProfileBytes });
  } catch {
    return undefined;
  }
}

/** For a profile that is there and cannot be used. */
export const profileUnreadable: Noticed = {
  code: 'picture-profile-damaged',
  severity: 'warn',
  message: 'An embedded profile is there but damaged; the colour is taken as untagged',
  remedy: 'Save the file again with its profile, or say in job.yaml what untagged colour is',
};

const colourUnsupported: Noticed = {
  code: 'picture-colour-unsupported',
  severity: 'warn',
  message:
    'The file states its colour by code points (cICP) that are not read, such as those of high dynamic range',
  remedy: 'Save the page as sRGB, or with an ICC profile',
};

const statesSrgb: Noticed = {
  code: 'picture-states-srgb',
  severity: 'note',
  message: 'The file says that its colour is sRGB, and was taken so',
  remedy: 'Nothing to do',
};

function statesColour(chunk: string): Noticed {
  return {
    code: 'picture-states-colour',
    severity: 'note',
    message: `The file states its colour by numbers (${chunk}) instead of a profile, and was taken so`,
    remedy: 'Nothing to do, if the proof looks as it was painted',
  };
}

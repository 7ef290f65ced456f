import { PlatehandError } from '../errors.js';
import { checkCurve, checkTable, IccBytes, IccFault, readDescription } from './icc-tables.js';

/**
 * Validates an ICC profile before any engine sees it. Damaged profiles can hang a colour engine or give wrong colours
 * without a word, so everything that it would compute with is checked here first, cheaply and without waiting.
 * Rules after ICC.1, versions 2 and 4.
 */

/** The colour spaces of profiles that are read. */
export type IccSpace = 'grey' | 'rgb' | 'cmyk';

/** What a sound profile says about itself. */
export interface IccSummary {
  /** What its device numbers are. */
  readonly space: IccSpace;
  /** Major version: 2 or 4. */
  readonly version: number;
  /** As the profile describes itself, at most 200 characters; empty where it does not. */
  readonly description: string;
}

/** What a profile is wanted for: to print to, or to say what the numbers of a picture mean. */
export type IccPurpose = 'press' | 'picture';

/** Where a tag lies in the profile. */
interface Tag {
  /** First byte, from the start of the profile. */
  readonly offset: number;
  /** Length in bytes, without padding. */
  readonly size: number;
}

const spaces: Readonly<Record<string, IccSpace>> = { GRAY: 'grey', 'RGB ': 'rgb', CMYK: 'cmyk' };
const channels = { grey: 1, rgb: 3, cmyk: 4 } as const;

/** Tables of each direction in the order of ICC.1's intents: perceptual, relative, saturation. */
const toPcs = ['A2B0', 'A2B1', 'A2B2'];
const fromPcs = ['B2A0', 'B2A1', 'B2A2'];
const colourTags = [
  ...toPcs,
  ...fromPcs,
  'wtpt',
  'chad',
  'rXYZ',
  'gXYZ',
  'bXYZ',
  'rTRC',
  'gTRC',
  'bTRC',
  'kTRC',
];

/** No printing or display profile in use comes near it; it keeps a lying file from being read at length. */
const maxBytes = 64 * 1024 * 1024;
const maxTags = 200;
const headerBytes = 128;

/** PCS illuminant D50 as ICC.1 fixes it for every profile. */
const d50 = [0.9642, 1, 0.8249] as const;

/**
 * Checks a profile through and through.
 * @param bytes the whole profile
 * @param purpose `press` must be a CMYK output profile with tables both ways; `picture` needs the way to the PCS only
 * @param file path for the message, if it has one
 * @throws PlatehandError `profile-invalid`, saying what is wrong
 */
export function readIccProfile(bytes: Uint8Array, purpose: IccPurpose, file?: string): IccSummary {
  try {
    return inspect(bytes, purpose);
  } catch (thrown) {
    if (!(thrown instanceof IccFault)) throw thrown;
    throw new PlatehandError(
      'profile-invalid',
      `This ICC profile cannot be used: ${thrown.message}`,
      purpose === 'press'
        ? 'Ask the printer for a sound CMYK output profile, or name one of the press conditions that ship with platehand.'
        : 'Save the picture again with a sound profile.',
      file === undefined ? {} : { place: { file } },
    );
  }
}

/**
 * The profile with its colour tags alone, for the engine: descriptions and other tags cannot mislead it then, and an
 * intent whose table is missing gets the one that ICC.1 says stands in for it (A2B0, B2A0). A profile of version 4 with
 * the tables of version 2 is labelled as what its tables are: ICC.1 encodes them alike, and engines go by the label.
 * @param bytes a profile that `readIccProfile` has found sound
 */
export function coloursOnly(bytes: Uint8Array): Uint8Array {
  const tags = readTags(new IccBytes(bytes, 'profile'));
  const kept = new Map<string, Tag>();
  for (const name of colourTags) {
    const tag = tags.get(name) ?? tags.get(standIn(name));
    if (tag !== undefined) kept.set(name, tag);
  }
  const start = headerBytes + 4 + 12 * kept.size;
  const size = [...kept.values()].reduce((sum, tag) => sum + padded(tag.size), start);
  const out = new Uint8Array(size);
  const view = new DataView(out.buffer);
  out.set(bytes.subarray(0, headerBytes));
  if (hasOlderTables(bytes, kept)) out[8] = 2;
  view.setUint32(0, size);
  view.setUint32(headerBytes, kept.size);
  let at = start;
  [...kept].forEach(([name, tag], index) => {
    const entry = headerBytes + 4 + 12 * index;
    for (let letter = 0; letter < 4; letter++) out[entry + letter] = name.charCodeAt(letter);
    view.setUint32(entry + 4, at);
    view.setUint32(entry + 8, tag.size);
    out.set(bytes.subarray(tag.offset, tag.offset + tag.size), at);
    at += padded(tag.size);
  });
  return out;
}

/** Whether it has tables, all of them of the types lut8Type and lut16Type. */
function hasOlderTables(bytes: Uint8Array, tags: Map<string, Tag>): boolean {
  const tables = [...tags].filter(([name]) => toPcs.includes(name) || fromPcs.includes(name));
  // The first letters of `mft1` and `mft2`, against `mAB ` and `mBA `.
  return tables.length > 0 && tables.every(([, tag]) => bytes[tag.offset + 1] === 'f'.charCodeAt(0));
}

function standIn(name: string): string {
  if (toPcs.includes(name)) return 'A2B0';
  return fromPcs.includes(name) ? 'B2A0' : name;
}

function padded(size: number): number {
  return Math.ceil(size / 4) * 4;
}

function inspect(bytes: Uint8Array, purpose: IccPurpose): IccSummary {
  const profile = new IccBytes(bytes, 'header');
  if (bytes.length > maxBytes) throw new IccFault(`it is larger than ${maxBytes / 1024 / 1024} MB`);
  const space = checkHeader(profile, purpose);
  const tags = readTags(profile);
  const tagBytes = (name: string): IccBytes | undefined => {
    const tag = tags.get(name);
    return tag && new IccBytes(bytes.subarray(tag.offset, tag.offset + tag.size), `${name} tag`);
  };
  const white = tagBytes('wtpt')?.xyz();
  if (white === undefined) throw new IccFault('it does not state its white point (wtpt)');
  if (white.some((value) => value < 0.2 || value > 1.5)) throw new IccFault('its white point is not a white');
  for (const name of toPcs) checkTableTag(tagBytes(name), channels[space], 3);
  for (const name of fromPcs) checkTableTag(tagBytes(name), 3, channels[space]);
  checkCurveTags(tagBytes);
  checkWayToPcs(space, purpose, tags);
  return { space, version: profile.uint8(8), description: readDescription(tagBytes('desc')) };
}

function checkHeader(profile: IccBytes, purpose: IccPurpose): IccSpace {
  profile.hold(0, headerBytes + 4);
  if (profile.signature(36) !== 'acsp')
    throw new IccFault('it does not have the mark of an ICC profile (acsp)');
  const size = profile.uint32(0);
  if (size !== profile.length) {
    throw new IccFault(`it says that it has ${size} bytes but has ${profile.length}`);
  }
  const version = profile.uint8(8);
  if (version !== 2 && version !== 4) throw new IccFault(`it is of version ${version}, not 2 or 4`);
  const pcs = profile.signature(20);
  if (pcs !== 'Lab ' && pcs !== 'XYZ ') throw new IccFault('it does not connect to Lab or XYZ');
  const illuminant = [68, 72, 76].map((offset) => profile.fixed(offset));
  if (illuminant.some((value, index) => Math.abs(value - (d50[index] ?? 0)) > 0.01)) {
    throw new IccFault('its connection space does not have the white of D50');
  }
  return checkKind(profile.signature(12), profile.signature(16), purpose);
}

function checkKind(deviceClass: string, spaceName: string, purpose: IccPurpose): IccSpace {
  const space = spaces[spaceName];
  const classes = purpose === 'press' ? ['prtr'] : ['prtr', 'mntr', 'scnr', 'spac'];
  if (!classes.includes(deviceClass)) {
    throw new IccFault(
      purpose === 'press'
        ? 'it is not an output profile (class prtr)'
        : 'it does not describe the colours of a picture',
    );
  }
  if (space === undefined || (purpose === 'press' && space !== 'cmyk')) {
    throw new IccFault(
      `it is for ${spaceName.trim()}, not for ${purpose === 'press' ? 'CMYK' : 'grey, RGB or CMYK'}`,
    );
  }
  return space;
}

function readTags(profile: IccBytes): Map<string, Tag> {
  const count = profile.uint32(headerBytes);
  if (count > maxTags) throw new IccFault(`it lists ${count} tags, more than any profile has`);
  const tags = new Map<string, Tag>();
  for (let index = 0; index < count; index++) {
    const entry = headerBytes + 4 + 12 * index;
    const name = profile.signature(entry);
    const [offset, size] = [profile.uint32(entry + 4), profile.uint32(entry + 8)];
    if (offset < headerBytes + 4 + 12 * count || offset + size > profile.length) {
      throw new IccFault(`its ${name} tag lies outside the file`);
    }
    if (tags.has(name)) throw new IccFault(`it lists its ${name} tag twice`);
    tags.set(name, { offset, size });
  }
  return tags;
}

function checkTableTag(tag: IccBytes | undefined, inputs: number, outputs: number): void {
  if (tag !== undefined) checkTable(tag, inputs, outputs);
}

function checkCurveTags(tagBytes: (name: string) => IccBytes | undefined): void {
  for (const name of ['rTRC', 'gTRC', 'bTRC', 'kTRC']) {
    const tag = tagBytes(name);
    if (tag !== undefined) checkCurve(tag, 0);
  }
  const chad = tagBytes('chad');
  if (chad !== undefined) chad.hold(0, 44);
  const primaries = ['rXYZ', 'gXYZ', 'bXYZ'].map((name) => tagBytes(name)?.xyz());
  const [r, g, b] = primaries;
  if (r === undefined || g === undefined || b === undefined) return;
  const determinant =
    r[0] * (g[1] * b[2] - g[2] * b[1]) -
    g[0] * (r[1] * b[2] - r[2] * b[1]) +
    b[0] * (r[1] * g[2] - r[2] * g[1]);
  // sRGB's is 0.1; near zero the three primaries lie on one line and no colour can be told from another.
  if (Math.abs(determinant) < 0.001) throw new IccFault('its red, green and blue are not three colours');
}

function checkWayToPcs(space: IccSpace, purpose: IccPurpose, tags: Map<string, Tag>): void {
  const lacks = (...names: string[]) => names.some((name) => !tags.has(name));
  if (purpose === 'press') {
    if (lacks('A2B0') && lacks('A2B1')) throw new IccFault('it lacks the tables from ink to colour (A2B)');
    if (lacks('B2A0') && lacks('B2A1')) throw new IccFault('it lacks the tables from colour to ink (B2A)');
    return;
  }
  const curves = space === 'grey' ? ['kTRC'] : ['rXYZ', 'gXYZ', 'bXYZ', 'rTRC', 'gTRC', 'bTRC'];
  const hasCurves = space !== 'cmyk' && !lacks(...curves);
  if (!hasCurves && lacks('A2B0') && lacks('A2B1'))
    throw new IccFault('it does not say what its numbers look like');
}

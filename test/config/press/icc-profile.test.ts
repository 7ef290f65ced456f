import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { PlatehandError } from '../../../config/errors.js';
import { coloursOnly, readIccProfile } from '../../../config/press/icc-profile.js';
import { profilesFolder } from '../../../config/press/press-conditions.js';
import { openPress } from '../../../config/press.js';
import { greyProfile, rgbProfile, widePrimaries, writeProfile } from '../../helpers/icc-writer.js';

let sound: Uint8Array;
beforeAll(async () => {
  sound = (await openPress({ kind: 'shipped', name: 'cgats-tr006' })).profile;
});

/** A copy of the sound profile with some bytes changed. */
function damaged(change: (bytes: Uint8Array, view: DataView) => void): Uint8Array {
  const bytes = sound.slice();
  change(bytes, new DataView(bytes.buffer));
  return bytes;
}

function tagEntry(bytes: Uint8Array, name: string): number {
  const view = new DataView(bytes.buffer);
  for (let entry = 132; entry < 132 + 12 * view.getUint32(128); entry += 12) {
    if (String.fromCharCode(...bytes.subarray(entry, entry + 4)) === name) return entry;
  }
  throw new Error(`no tag ${name}`);
}

function tagOffset(bytes: Uint8Array, name: string): number {
  return new DataView(bytes.buffer).getUint32(tagEntry(bytes, name) + 4);
}

function refusal(bytes: Uint8Array, purpose: 'press' | 'picture' = 'press'): string {
  try {
    readIccProfile(bytes, purpose, 'press.icc');
  } catch (thrown) {
    expect(thrown).toBeInstanceOf(PlatehandError);
    expect((thrown as PlatehandError).code).toBe('profile-invalid');
    return (thrown as PlatehandError).message;
  }
  return 'accepted';
}

describe('a press profile', () => {
  it('is accepted when it is sound, and says what it is', () => {
    expect(readIccProfile(sound, 'press')).toEqual({
      space: 'cmyk',
      version: 2,
      description: 'platehand: coated, sheet-fed offset (CGATS TR 006)',
    });
  });

  // Header fields and their places after ICC.1, table of the profile header.
  it.each<[string, RegExp, (bytes: Uint8Array, view: DataView) => void]>([
    [
      'states a size that is off by one',
      /says that it has/,
      (_, view) => view.setUint32(0, view.byteLength + 1),
    ],
    ['lacks the mark acsp', /acsp/, (bytes) => bytes.fill(0x20, 36, 40)],
    ['is of version 5', /version 5/, (bytes) => bytes.fill(5, 8, 9)],
    ['is a display profile', /output profile/, (bytes) => bytes.set([0x6d, 0x6e, 0x74, 0x72], 12)],
    ['is a device link', /output profile/, (bytes) => bytes.set([0x6c, 0x69, 0x6e, 0x6b], 12)],
    ['is for RGB', /RGB/, (bytes) => bytes.set([0x52, 0x47, 0x42, 0x20], 16)],
    ['connects to neither Lab nor XYZ', /Lab or XYZ/, (bytes) => bytes.set([0x59, 0x78, 0x79, 0x20], 20)],
    ['has another white than D50', /D50/, (_, view) => view.setInt32(68, 65536 * 0.95)],
    ['lists thousands of tags', /tags/, (_, view) => view.setUint32(128, 70000)],
    [
      'has a tag beyond its end',
      /outside the file/,
      (bytes, view) => view.setUint32(tagEntry(bytes, 'B2A1') + 4, 9e6),
    ],
    [
      'has a table cut short',
      /cut short/,
      (bytes, view) => view.setUint32(tagEntry(bytes, 'B2A1') + 8, 40000),
    ],
    ['lists a tag twice', /twice/, (bytes) => bytes.set([0x42, 0x32, 0x41, 0x31], tagEntry(bytes, 'B2A0'))],
    [
      'has a table of 15 inputs',
      /15 channels into 3/,
      (bytes) => bytes.fill(15, tagOffset(bytes, 'A2B1') + 8, tagOffset(bytes, 'A2B1') + 9),
    ],
    [
      'gives three inks',
      /3 channels into 3/,
      (bytes) => bytes.fill(3, tagOffset(bytes, 'B2A1') + 9, tagOffset(bytes, 'B2A1') + 10),
    ],
    [
      'has a grid of one point',
      /fewer than 2/,
      (bytes) => bytes.fill(1, tagOffset(bytes, 'A2B1') + 10, tagOffset(bytes, 'A2B1') + 11),
    ],
    [
      'has a grid larger than its bytes',
      /cut short/,
      (bytes) => bytes.fill(30, tagOffset(bytes, 'A2B1') + 10, tagOffset(bytes, 'A2B1') + 11),
    ],
    [
      'has curves of no entries',
      /curves of 0/,
      (bytes) => bytes.fill(0, tagOffset(bytes, 'B2A0') + 48, tagOffset(bytes, 'B2A0') + 50),
    ],
    [
      'has a table of an unknown type',
      /unknown type/,
      (bytes) => bytes.fill(0x78, tagOffset(bytes, 'B2A2'), tagOffset(bytes, 'B2A2') + 4),
    ],
    [
      'has a black white point',
      /not a white/,
      (bytes) => bytes.fill(0, tagOffset(bytes, 'wtpt') + 8, tagOffset(bytes, 'wtpt') + 20),
    ],
    [
      'lacks its white point',
      /white point/,
      (bytes) => bytes.set([0x78, 0x78, 0x78, 0x78], tagEntry(bytes, 'wtpt')),
    ],
  ])('is refused when it %s', (_, says, change) => {
    const message = refusal(damaged(change));
    expect(message).toMatch(says);
    expect(message).toMatch(/^press\.icc: /);
    expect(message).toMatch(/Ask the printer/);
  });

  it('is refused when it ends early, wherever it ends', () => {
    for (let length = 0; length < sound.length; length += 997) {
      expect(refusal(sound.slice(0, length)), `${length} bytes`).not.toBe('accepted');
    }
  });

  it('is refused when it lacks the way from colour to ink', () => {
    const bytes = damaged((copy) => {
      for (const name of ['B2A0', 'B2A1'])
        copy.set([0x78, 0x78, 0x78, name.charCodeAt(3)], tagEntry(copy, name));
    });
    expect(refusal(bytes)).toMatch(/colour to ink/);
  });
});

describe('the profile of a picture', () => {
  it('may be RGB or grey, by curves alone', () => {
    expect(readIccProfile(rgbProfile(widePrimaries, 2.2), 'picture').space).toBe('rgb');
    expect(readIccProfile(greyProfile(1.8), 'picture').space).toBe('grey');
    expect(readIccProfile(sound, 'picture').space).toBe('cmyk');
  });

  it('is refused when its primaries are one colour, or its curves are missing or senseless', () => {
    const red = widePrimaries[0];
    expect(refusal(rgbProfile([red, red, red], 2.2), 'picture')).toMatch(/three colours/);
    expect(refusal(rgbProfile(widePrimaries, 0), 'picture')).toMatch(/gamma 0/);
    const white = greyProfile(1).slice();
    white.set([0x78], tagEntry(white, 'kTRC'));
    expect(refusal(white, 'picture')).toMatch(/what its numbers look like/);
  });

  it('is no press profile', () => {
    expect(refusal(rgbProfile(widePrimaries, 2.2))).toMatch(/output profile/);
  });
});

describe('what goes to the colour engine', () => {
  it('is a sound profile with the colour tags alone', () => {
    const bare = coloursOnly(sound);
    expect(readIccProfile(bare, 'press').description).toBe('');
    expect(() => tagEntry(bare, 'desc')).toThrow();
    for (const name of ['A2B0', 'A2B1', 'A2B2', 'B2A0', 'B2A1', 'B2A2', 'wtpt']) {
      const [from, to] = [tagOffset(sound, name), tagOffset(bare, name)];
      const size = new DataView(sound.buffer).getUint32(tagEntry(sound, name) + 8);
      expect(Buffer.from(bare.subarray(to, to + size)).equals(sound.subarray(from, from + size))).toBe(true);
    }
  });

  it('has the perceptual table where an intent has none of its own, as ICC.1 says', () => {
    const bytes = damaged((copy) => copy.set([0x78, 0x78, 0x78, 0x78], tagEntry(copy, 'B2A1')));
    const bare = coloursOnly(bytes);
    const [one, two] = [tagOffset(bare, 'B2A0'), tagOffset(bare, 'B2A1')];
    expect(Buffer.from(bare.subarray(one, one + 5000)).equals(bare.subarray(two, two + 5000))).toBe(true);
  });
});

describe('a profile of version 4', () => {
  it('may describe itself in the newer way', () => {
    const text = 'Neu';
    const mluc = new Uint8Array(28 + 2 * text.length);
    const view = new DataView(mluc.buffer);
    mluc.set([0x6d, 0x6c, 0x75, 0x63]);
    view.setUint32(8, 1);
    view.setUint32(12, 12);
    view.setUint32(20, 2 * text.length);
    view.setUint32(24, 28);
    [...text].forEach((letter, index) => {
      view.setUint16(28 + 2 * index, letter.charCodeAt(0));
    });
    const rest = greyProfile(2);
    const [wtpt, kTRC] = ['wtpt', 'kTRC'].map((name) =>
      rest.slice(tagOffset(rest, name), tagOffset(rest, name) + 20),
    );
    const bytes = writeProfile('mntr', 'GRAY', 'XYZ ', { desc: mluc, wtpt, kTRC: kTRC.slice(0, 14) });
    bytes[8] = 4;
    expect(readIccProfile(bytes, 'picture')).toEqual({ space: 'grey', version: 4, description: 'Neu' });
  });
});

describe('every shipped profile', () => {
  it('is sound, and names its data set and that it is the source', () => {
    for (const [name, dataSet] of [
      ['cgats-tr002', 'TR 002-2007'],
      ['cgats-tr003', 'TR 003-2007'],
      ['cgats-tr005', 'TR 005-2007'],
      ['cgats-tr006', 'TR 006-2007'],
      ['fogra29l', 'FOGRA29L'],
      ['fogra30l', 'FOGRA30L'],
      ['fogra39l', 'FOGRA39L'],
    ]) {
      const bytes = readFileSync(`${profilesFolder()}/${name}.icc`);
      expect(readIccProfile(bytes, 'press').description).toContain('platehand');
      expect(bytes.toString('latin1')).toContain(`Made from the characterization data`);
      expect(bytes.toString('latin1')).toContain(dataSet);
    }
  });
});

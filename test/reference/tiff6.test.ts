import sharp from 'sharp';
import { decode } from 'tiff';
import { describe, expect, it } from 'vitest';
import { packG4 } from '../../pipeline/files/fax-g4.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { encodeComposite, encodeLinePlate, encodePlate } from '../../pipeline/write.js';
import { drawLineSamples, drawLines, drawSeparation, planesOf, seeded } from '../helpers/plates.js';
import { bitsOf } from '../helpers/rasters.js';

const arena = new PageArena();

/**
 * Press files against TIFF 6.0 (3 June 1992; sections and pages beside each check), read back by decoders that share no
 * code with the writer: the npm package `tiff` (8 bit) and libtiff inside sharp (8 bit and Group 4).
 */
const profile = Buffer.from('a profile of an odd number of bytes');
const separation = drawSeparation(301, 2000);
const plate = { width: 301, height: 2000, data: planesOf(separation).cyan };
const lines = drawLines(1003, 400);

const composite = Buffer.concat(await encodeComposite(separation, { ppi: 300, profile }, arena));
const greyPlate = Buffer.concat(await encodePlate(plate, { ppi: 300 }, arena));
const linePlate = Buffer.concat(await encodeLinePlate(lines, { ppi: 1200 }));

function fieldsOf(file: Buffer): Map<number, unknown> {
  const [directory] = decode(file, { ignoreImageData: true });
  return new Map(
    [...directory.fields].map(([tag, value]) => [tag, ArrayBuffer.isView(value) ? value : value]),
  );
}

/** The directory as it lies in the file: tag, type, count, and where its value stands if not within the entry. */
function entriesOf(
  file: Buffer,
): { tag: number; type: number; count: number; outside: number | undefined }[] {
  const at = file.readUInt32LE(4);
  const sizes = [0, 1, 1, 2, 4, 8, 1, 1];
  return Array.from({ length: file.readUInt16LE(at) }, (_, i) => {
    const entry = at + 2 + i * 12;
    const type = file.readUInt16LE(entry + 2);
    const count = file.readUInt32LE(entry + 4);
    const outside = count * sizes[type] > 4 ? file.readUInt32LE(entry + 8) : undefined;
    return { tag: file.readUInt16LE(entry), type, count, outside };
  });
}

describe('the fields of a press file', () => {
  it('are those of a separated image for the composite (section 16, page 69)', () => {
    const fields = fieldsOf(composite);
    expect(fields.get(256)).toBe(301);
    expect(fields.get(257)).toBe(2000);
    expect([...(fields.get(258) as number[])]).toEqual([8, 8, 8, 8]);
    expect(fields.get(262)).toBe(5);
    expect(fields.get(277)).toBe(4);
    expect(fields.get(284)).toBe(1);
    // Section 16, page 70: InkSet 1 is CMYK, and InkNames is then absent.
    expect(fields.get(332)).toBe(1);
    expect(fields.has(333)).toBe(false);
  });

  it('hold no more than the inks: no extra samples, no transparency (pages 31 and 77)', () => {
    for (const file of [composite, greyPlate, linePlate]) expect(fieldsOf(file).has(338)).toBe(false);
  });

  it('say for plates that 0 is paper (page 37)', () => {
    expect(fieldsOf(greyPlate).get(262)).toBe(0);
    expect(fieldsOf(greyPlate).get(277)).toBe(1);
    expect(fieldsOf(linePlate).get(262)).toBe(0);
  });

  it('say for the line plate that it is 1 bit in Group 4, without the uncompressed mode (section 11, page 52)', () => {
    const fields = fieldsOf(linePlate);
    expect(fields.get(258)).toBe(1);
    expect(fields.get(259)).toBe(4);
    // T6Options is 0 where it is absent.
    expect(fields.get(293) ?? 0).toBe(0);
  });

  it('are all that a bilevel image must have (section 3, page 21)', () => {
    const fields = fieldsOf(linePlate);
    for (const tag of [256, 257, 259, 262, 273, 278, 279, 282, 283, 296])
      expect([tag, fields.has(tag)]).toEqual([tag, true]);
  });

  it.each([
    [composite, 300],
    [greyPlate, 300],
    [linePlate, 1200],
  ])('state the resolution as pixels per inch (pages 21 and 38)', (file, ppi) => {
    const fields = fieldsOf(file);
    expect([fields.get(282), fields.get(283), fields.get(296)]).toEqual([ppi, ppi, 2]);
  });

  it('name no date and no program, so that the bytes depend on the picture alone', () => {
    for (const file of [composite, greyPlate, linePlate]) {
      for (const tag of [305, 306, 315, 316]) expect(fieldsOf(file).has(tag)).toBe(false);
    }
  });

  it('stand in ascending order, their values on even offsets (page 15)', () => {
    for (const file of [composite, greyPlate, linePlate]) {
      const entries = entriesOf(file);
      const tags = entries.map((entry) => entry.tag);
      expect(tags).toEqual([...new Set(tags)].sort((a, b) => a - b));
      for (const { tag, outside } of entries)
        if (outside !== undefined) expect([tag, outside % 2]).toEqual([tag, 0]);
      const directory = file.readUInt32LE(4);
      expect(directory % 2).toBe(0);
      expect(file.readUInt32LE(directory + 2 + tags.length * 12)).toBe(0);
    }
  });
});

it('embeds the profile byte for byte as UNDEFINED, 34675, once (ICC.1, Annex B)', () => {
  const found = entriesOf(composite).filter((entry) => entry.tag === 34675);
  expect(found).toMatchObject([{ type: 7, count: profile.length }]);
  const at = found[0].outside ?? 0;
  expect(composite.subarray(at, at + profile.length).equals(profile)).toBe(true);
  expect(fieldsOf(greyPlate).has(34675)).toBe(false);
});

describe('the pixels of a press file', () => {
  it('are exact in the composite for the second decoder', () => {
    // That decoder knows no photometric 5, but strips, deflate and differences are the same for any label: it reads a
    // copy that is labelled 2.
    const copy = Buffer.from(composite);
    const at = copy.readUInt32LE(4) + 2 + 12 * entriesOf(copy).findIndex((entry) => entry.tag === 262);
    expect(copy.readUInt16LE(at + 8)).toBe(5);
    copy.writeUInt16LE(2, at + 8);
    expect(firstWrong(separation, decode(copy)[0].data as Uint8Array)).toBe('none');
  });

  it('are exact in the composite for libtiff', async () => {
    // Without these three, the library would convert what it reads.
    const picture = sharp(composite, { ignoreIcc: true }).pipelineColourspace('cmyk').toColourspace('cmyk');
    expect(firstWrong(separation, await picture.raw().toBuffer())).toBe('none');
  });

  it('are exact in a plate, where both decoders turn ink into light', async () => {
    const light = Buffer.from(plate.data.map((ink) => 255 - ink));
    expect(Buffer.from(decode(greyPlate)[0].data as Uint8Array).equals(light)).toBe(true);
    expect((await sharp(greyPlate).toColourspace('b-w').raw().toBuffer()).equals(light)).toBe(true);
  });

  it('are exact in the line plate for libtiff', async () => {
    const light = Buffer.from(drawLineSamples(1003, 400).data.map((ink) => 255 - ink));
    expect((await sharp(linePlate).toColourspace('b-w').raw().toBuffer()).equals(light)).toBe(true);
  });
});

describe('Group 4 (ITU-T T.6) as libtiff reads it', () => {
  /** Rows as lists of run lengths, beginning with paper. */
  async function readBack(width: number, rows: readonly (readonly number[])[]): Promise<boolean> {
    const data = new Uint8Array(width * rows.length);
    rows.forEach((runs, row) => {
      let x = 0;
      runs.forEach((run, i) => {
        if (i % 2 === 1) data.fill(255, row * width + x, row * width + Math.min(x + run, width));
        x += run;
      });
    });
    const file = Buffer.concat(
      await encodeLinePlate(bitsOf({ width, height: rows.length, data }), { ppi: 600 }),
    );
    const light = await sharp(file, { limitInputPixels: false }).toColourspace('b-w').raw().toBuffer();
    return light.equals(Buffer.from(data.map((ink) => 255 - ink)));
  }

  const ends = Array.from({ length: 41 }, (_, i) => i * 64).flatMap((run) => [run, run + 1, run + 63]);
  const runs = [...new Set([...Array(64).keys(), ...ends, 2624, 5119, 5120, 5121, 5200])];

  it('holds every run code of T.4, for ink and for paper (tables 2 and 3)', async () => {
    // A bare row above each, so that the runs are coded by themselves.
    expect(
      await readBack(
        10500,
        runs.flatMap((run) => [[], [run, run], [], [3, run, run, 7]]),
      ),
    ).toBe(true);
  });

  it('holds every mode: passes, and edges up to four pixels to either side of the row above (T.6, table 4)', async () => {
    const shifts = [-5, -4, -3, -2, -1, 0, 1, 2, 3, 4, 5];
    const rows = shifts.flatMap((left) => shifts.map((right) => [20 + left, 20 + right, 9, 1, 4]));
    expect(
      await readBack(64, [...rows, [0, 64], [0, 3, 2], [], [0, 64], [63, 1], [0, 1], [20, 20, 5, 5]]),
    ).toBe(true);
  });

  it.each([1, 2, 7, 8, 9, 31, 33])('holds noise of any width, here %i', async (width) => {
    const next = seeded(width);
    const rows = Array.from({ length: 300 }, () =>
      Array.from({ length: width }, () => Math.floor(next() * 4)),
    );
    expect(await readBack(width, rows)).toBe(true);
  });

  it('ends with the end-of-block code, and begins from a white row above', () => {
    // Bare paper: one V0 bit for each row (T.6, 2.2), then EOFB, 000000000001 twice (2.4.1.1).
    expect(
      Buffer.from(packG4(bitsOf({ width: 8, height: 2, data: new Uint8Array(16) }))).toString('hex'),
    ).toBe('c0040040');
  });
});

/** Names the first wrong pixel, so that a failure tells what to look for. */
function firstWrong(expected: typeof separation, found: Uint8Array): string {
  const { width } = expected;
  const { cyan, magenta, yellow, black } = planesOf(expected);
  if (found.length !== cyan.length * 4) return `${found.length} samples`;
  for (let i = 0; i < cyan.length; i++) {
    const want = [cyan[i], magenta[i], yellow[i], black[i]];
    const have = [...found.subarray(i * 4, i * 4 + 4)];
    if (want.some((ink, k) => ink !== have[k]))
      return `${i % width},${Math.floor(i / width)}: ${want} is ${have}`;
  }
  return 'none';
}

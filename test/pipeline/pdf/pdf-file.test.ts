import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { joined } from '../../../pipeline/files/joined-deflate.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import { separationOf } from '../../../pipeline/model/separation.js';
import { issuePdf } from '../../../pipeline/pdf/issue-file.js';
import { pdfName, pdfNumber, pdfText } from '../../../pipeline/pdf/notation.js';
import { pageBoxes } from '../../../pipeline/pdf/page-boxes.js';
import { pagePdf } from '../../../pipeline/pdf/page-file.js';
import { PdfFile } from '../../../pipeline/pdf/pdf-file.js';
import { compositeStrips } from '../../../pipeline/write.js';
import { seeded } from '../../helpers/rasters.js';
import { specWith } from '../../helpers/specs.js';

describe('how things are written', () => {
  test.each([
    [0, '0'],
    [-0.000001, '0'],
    [1e-7, '0'],
    [495.12, '495.12'],
    [1 / 3, '0.33333'],
    [100, '100'],
    [1e9, '1000000000'],
  ])('the number %s', (value, written) => expect(pdfNumber(value)).toBe(written));

  test.each([
    ['Noir (2)', '(Noir \\(2\\))'],
    ['a\\b', '(a\\\\b)'],
    ['é', '<FEFF00E9>'],
    ['線', '<FEFF7DDA>'],
    ['line\nbreak', '<FEFF006C0069006E0065000A0062007200650061006B>'],
  ])('the text %s', (text, written) => expect(pdfText(text)).toBe(written));

  test('names with other letters than plain ones', () => {
    expect([pdfName('Black'), pdfName('Warm-red 5 #'), pdfName('Lack é')]).toEqual([
      '/Black',
      '/Warm-red#205#20#23',
      '/Lack#20#C3#A9',
    ]);
  });
});

describe('a file', () => {
  test('of more bytes than its table can name is refused, with what to do', () => {
    const file = new PdfFile('pdf/QRY02_all-pages.pdf');
    // As long as a gigabyte for the writer, which counts lengths and looks at no byte.
    const gigabyte = { length: 1_000_000_000 } as Uint8Array;
    for (let each = 0; each < 9; each++) file.streamPart([gigabyte]);
    file.streamPart([{ length: 999_999_999 } as Uint8Array]);
    expect(file.bytes).toBe(9_999_999_999);
    expect(() => file.streamPart([Buffer.of(0)])).toThrow(
      expect.objectContaining({ code: 'pdf-too-large', place: { file: 'pdf/QRY02_all-pages.pdf' } }),
    );
  });

  test('beyond 4 GB has offsets of ten digits', () => {
    const file = new PdfFile();
    file.header('1.6');
    file.streamPart([{ length: 5_000_000_000 } as Uint8Array]);
    file.object(1, 'null');
    const [table] = file.end({ root: 1, info: 1, identity: '0'.repeat(64) });
    expect(Buffer.from(table).toString()).toContain('\n5000000015 00000 n \n');
  });
});

describe('an issue of 200 pages', () => {
  let folder: string;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'issue-pdf-'));
  });
  afterAll(() => rm(folder, { recursive: true, force: true }));

  /** A page of about a megabyte, with noise so that nothing of it packs. */
  async function onePage(): Promise<string> {
    const spec = specWith({
      colourPpi: 100,
      linePpi: 200,
      bleedMm: 3,
      trim: { widthMm: 130, heightMm: 130 },
    });
    const size = { width: 535, height: 535 };
    const random = seeded(3);
    const plane = () => Uint8Array.from({ length: size.width * size.height }, () => random() * 256);
    const strips = compositeStrips(separationOf(size, plane), new PageArena());
    const packed = await strips.all();
    const pieces = pagePdf({
      ...{
        form: 'x-4',
        boxes: pageBoxes(spec),
        title: 'Noise',
        label: '1',
        day: undefined,
        layers: [],
        marks: undefined,
      },
      intent: {
        identifier: 'x',
        isRegistered: false,
        condition: 'x',
        profile: Buffer.alloc(1000),
        profileSha256: '',
      },
      picture: {
        size,
        channels: 4,
        pieces: joined(packed.map((one, at) => ({ packed: one, bytes: strips.bytesOf(at) }))),
      },
    });
    const path = join(folder, 'page.pdf');
    await writeFile(path, pieces);
    return path;
  }

  test('takes the memory of a piece, however many pages there are', async () => {
    const path = await onePage();
    const pages = Array.from({ length: 200 }, (_, at) => ({ path, label: String(at + 1), scene: undefined }));
    const heldBytes = () => process.memoryUsage().arrayBuffers + process.memoryUsage().heapUsed;
    const before = heldBytes();
    let bytes = 0;
    let most = 0;
    for await (const piece of issuePdf({ form: 'x-4', title: 'Noise', pages }, 'x.pdf')) {
      bytes += piece.length;
      most = Math.max(most, heldBytes() - before);
    }
    // 200 times a megabyte went by; what nobody has collected yet counts as well.
    expect(bytes).toBeGreaterThan(200e6);
    expect(most).toBeLessThan(100e6);
  });

  test('is refused where a page is not a file of ours, by its name', async () => {
    const path = join(folder, 'other.pdf');
    await writeFile(path, '%PDF-1.6\nnothing else\n');
    const pages = [{ path, label: '1', scene: undefined }];
    const writing = async () => {
      for await (const piece of issuePdf({ form: 'x-4', title: '', pages }, 'x.pdf'))
        expect(piece).toBeDefined();
    };
    await expect(writing()).rejects.toMatchObject({ code: 'pdf-unreadable', place: { file: path } });
  });
});

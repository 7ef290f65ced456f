import { PlatehandError } from '../../config/errors.js';
import type { SizePx } from '../../config/units.js';
import { pdfBytes, pdfDictionary, ref } from './notation.js';

/**
 * The container of a PDF: header, objects in the order in which they are written, cross-reference table and trailer
 * (ISO 32000-1 section 7.5). It hands out bytes and keeps only where each object begins, so that a file of any length
 * can be written piece by piece.
 */

/** Offsets of a cross-reference table have ten digits (ISO 32000-1 section 7.5.4), and PDF/X-1a knows no other form. */
const longestBytes = 9_999_999_999;

/** Four bytes above 127 behind a %, so that nobody takes the file for text (ISO 32000-1 section 7.5.2). */
const binaryMark = Buffer.of(0x25, 0xe2, 0xe3, 0xcf, 0xd3, 0x0a);

/** A picture as JPEG, rgb. */
export interface JpegPicture extends SizePx {
  readonly jpeg: Uint8Array;
}

/** What a file's trailer names. */
export interface PdfTrailer {
  readonly root: number;
  readonly info: number;
  /** SHA-256 of all that the file holds, in hex: its first half is the file's identifier. */
  readonly identity: string;
}

/** Half of a SHA-256 in hex: an identifier of 16 bytes. */
const identifierDigits = 32;

/** Gives the bytes of a PDF one after the other. */
export class PdfFile {
  private at = 0;
  private readonly offsets: number[] = [];

  /** @param path of the file, as errors name it; undefined where there is none yet */
  constructor(private readonly path?: string) {}

  /** Bytes so far. */
  get bytes(): number {
    return this.at;
  }

  /** The beginning. @param version such as `1.6` */
  header(version: string): Uint8Array[] {
    return this.counted([Buffer.from(`%PDF-${version}\n`), binaryMark]);
  }

  /** An object that is no stream. @throws PlatehandError `pdf-too-large` */
  object(id: number, content: string): Uint8Array[] {
    this.begin(id);
    return this.counted([Buffer.from(`${id} 0 obj\n${content}\nendobj\n`, 'latin1')]);
  }

  /**
   * A stream.
   * @param entries of its dictionary, but its length
   * @throws PlatehandError `pdf-too-large`
   */
  stream(
    id: number,
    entries: Readonly<Record<string, string | undefined>>,
    pieces: readonly Uint8Array[],
  ): Uint8Array[] {
    const length = pieces.reduce((sum, piece) => sum + piece.length, 0);
    return [
      ...this.streamHead(id, pdfDictionary({ ...entries, Length: `${length}` })),
      ...this.streamPart(pieces),
      ...this.streamEnd(),
    ];
  }

  /** A picture as it is packed (ISO 32000-1 section 7.4.8). @throws PlatehandError `pdf-too-large` */
  picture(id: number, { width, height, jpeg }: JpegPicture): Uint8Array[] {
    const entries = {
      ...{ Type: '/XObject', Subtype: '/Image', Width: `${width}`, Height: `${height}` },
      ...{ ColorSpace: '/DeviceRGB', BitsPerComponent: '8', Filter: '/DCTDecode' },
    };
    return this.stream(id, entries, [jpeg]);
  }

  /** The beginning of a stream whose bytes follow by `streamPart`. @param dictionary states their length */
  streamHead(id: number, dictionary: string): Uint8Array[] {
    this.begin(id);
    return this.counted([Buffer.from(`${id} 0 obj\n${dictionary}\nstream\n`, 'latin1')]);
  }

  /** Some of its bytes. */
  streamPart(pieces: readonly Uint8Array[]): Uint8Array[] {
    return this.counted(pieces);
  }

  /** What stands behind its last byte. */
  streamEnd(): Uint8Array[] {
    return this.counted([Buffer.from('\nendstream\nendobj\n')]);
  }

  /** Cross-reference table and trailer. @throws PlatehandError `pdf-too-large` */
  end({ root, info, identity }: PdfTrailer): Uint8Array[] {
    const table = this.at;
    const size = this.offsets.length;
    const entries = Array.from({ length: size - 1 }, (_, index) => {
      return `${String(this.offsets[index + 1]).padStart(10, '0')} 00000 n \n`;
    });
    const identifier = pdfBytes(identity.slice(0, identifierDigits));
    const trailer = pdfDictionary({
      Size: `${size}`,
      Root: ref(root),
      Info: ref(info),
      ID: `[${identifier} ${identifier}]`,
    });
    const text = [
      `xref\n0 ${size}\n0000000000 65535 f \n`,
      ...entries,
      `trailer\n${trailer}\nstartxref\n${table}\n%%EOF\n`,
    ];
    return this.counted([Buffer.from(text.join(''))]);
  }

  private begin(id: number): void {
    this.offsets[id] = this.at;
  }

  private counted(pieces: readonly Uint8Array[]): Uint8Array[] {
    for (const piece of pieces) this.at += piece.length;
    if (this.at > longestBytes) throw tooLarge(this.path);
    return [...pieces];
  }
}

function tooLarge(file: string | undefined): PlatehandError {
  const what = `This PDF would be larger than ${longestBytes} bytes, the most that its table of contents can name`;
  const remedy = 'Send the pages as single files: set issuePdf: false below print in job.yaml.';
  return new PlatehandError('pdf-too-large', what, remedy, { place: file === undefined ? {} : { file } });
}

import { createHash } from 'node:crypto';
import type { PdfForm } from '../../config/print-spec.js';
import type { SizePx } from '../../config/units.js';
import { type InkLayer, type InkPicture, layerBox, separation } from './ink-layers.js';
import { infoDictionary, type PdfAbout, pdfVersions, xmpPacket } from './metadata.js';
import { pdfDictionary, pdfNumber, pdfNumbers, pdfText, ref } from './notation.js';
import { type OutputIntent, outputIntentDictionary } from './output-intent.js';
import type { Box, PageBoxes } from './page-boxes.js';
import { PdfFile } from './pdf-file.js';

/**
 * One page as PDF/X: the picture of its process inks without line, and over it each layer of one ink in the separation of
 * that ink, which overprints: an image mask where it is ink or none, a picture where it has tones. Nothing is decoded or packed here: the streams come as they are.
 */

/** A picture in CMYK or grey, 8 bit, packed with deflate over horizontal differences (TIFF predictor). */
export interface PackedPicture {
  readonly size: SizePx;
  /** 4 are cyan, magenta, yellow and black, 0 no ink; 1 is grey, 0 solid black ink. */
  readonly channels: 1 | 4;
  /** A zlib stream, in pieces. */
  readonly pieces: readonly Uint8Array[];
}

/** Everything that a page's file holds. */
export interface PdfPage {
  readonly form: PdfForm;
  readonly title: string;
  /** How readers call the page: `7`, `cover`, `12-13`. */
  readonly label: string;
  /** `YYYY-MM-DD`; undefined where nothing states one. */
  readonly day: string | undefined;
  readonly intent: OutputIntent;
  readonly boxes: PageBoxes;
  readonly picture: PackedPicture;
  /** In the order in which they print. */
  readonly layers: readonly (InkLayer | InkPicture)[];
  /** Marks beside the bleed; undefined for none. */
  readonly marks: PdfMarks | undefined;
}

/** Marks as vectors. */
export interface PdfMarks {
  /** Operators of a content stream. */
  readonly content: string;
  /** Colour spaces that they name. */
  readonly colourSpaces: Readonly<Record<string, string>>;
}

/** Objects that every page's file has under these numbers; what the page alone needs follows from `firstOwn` on. */
export const pageObject = {
  catalog: 1,
  pages: 2,
  page: 3,
  info: 4,
  metadata: 5,
  intent: 6,
  profile: 7,
} as const;
/** Number of the first object that the page alone needs; the page itself aside. */
export const firstOwn = 8;

/** The file, in the pieces in which it is written. The same page gives the same bytes. */
export function pagePdf(page: PdfPage): Uint8Array[] {
  const file = new PdfFile();
  const { form, title, day } = page;
  const about: PdfAbout = { form, title, day, identity: identityOf(page) };
  const own = ownObjects(page);
  return [
    ...file.header(pdfVersions[form]),
    ...file.object(pageObject.catalog, catalogOf(page)),
    ...file.object(
      pageObject.pages,
      pdfDictionary({ Type: '/Pages', Count: '1', Kids: `[${ref(pageObject.page)}]` }),
    ),
    ...file.object(pageObject.page, pageDictionary(page)),
    ...documentObjects(file, about, page.intent),
    ...own.flatMap((one, index) => written(file, firstOwn + index, one)),
    ...file.end({ root: pageObject.catalog, info: pageObject.info, identity: about.identity }),
  ];
}

/** What a file says about itself and its printing condition, under the numbers that every file of ours has for them. */
function documentObjects(file: PdfFile, about: PdfAbout, intent: OutputIntent): Uint8Array[] {
  return [
    ...file.object(pageObject.info, infoDictionary(about)),
    ...file.stream(pageObject.metadata, { Type: '/Metadata', Subtype: '/XML' }, [xmpPacket(about)]),
    ...file.object(pageObject.intent, outputIntentDictionary(intent, pageObject.profile)),
    ...file.stream(pageObject.profile, { N: '4' }, [intent.profile]),
  ];
}

function catalogOf({ label }: PdfPage): string {
  return pdfDictionary({
    Type: '/Catalog',
    Pages: ref(pageObject.pages),
    PageLabels: `<< /Nums [0 << /P ${pdfText(label)} >>] >>`,
    Metadata: ref(pageObject.metadata),
    OutputIntents: `[${ref(pageObject.intent)}]`,
  });
}

/** An object of the page's own: a dictionary, a colour space, or a stream. */
type OwnObject =
  | { readonly content: string }
  | {
      readonly entries: Readonly<Record<string, string | undefined>>;
      readonly pieces: readonly Uint8Array[];
    };

function written(file: PdfFile, id: number, one: OwnObject): Uint8Array[] {
  return 'content' in one ? file.object(id, one.content) : file.stream(id, one.entries, one.pieces);
}

/** In the order of their numbers: contents, overprint, picture, then of each layer its colour space and its mask or picture. */
const ownId = { contents: firstOwn, overprint: firstOwn + 1, picture: firstOwn + 2 } as const;
const firstLayer = firstOwn + 3;
const colourSpaceId = (layer: number) => firstLayer + 2 * layer;
const maskId = (layer: number) => firstLayer + 2 * layer + 1;

function ownObjects(page: PdfPage): OwnObject[] {
  const { picture, layers } = page;
  return [
    { entries: {}, pieces: [Buffer.from(contentsOf(page), 'latin1')] },
    // Both modes, and for the colours that know it the mode in which 0 leaves an ink alone: ISO 32000-1 section 11.7.4.
    { content: pdfDictionary({ Type: '/ExtGState', OP: 'true', op: 'true', OPM: '1' }) },
    pictureObject(picture),
    ...layers.flatMap((layer, index) => {
      const image = 'packed' in layer ? maskObject(layer) : toneObject(layer, ref(colourSpaceId(index)));
      return [{ content: separation(layer.ink, layer.shownAs) }, image];
    }),
  ];
}

function pictureObject({ size, channels, pieces }: PackedPicture): OwnObject {
  return imageObject(size, channels, channels === 1 ? '/DeviceGray' : '/DeviceCMYK', pieces);
}

/** 255 is full ink, and decodes to a tint of 1. */
function toneObject({ size, pieces }: InkPicture, colourSpace: string): OwnObject {
  return imageObject(size, 1, colourSpace, pieces);
}

function imageObject(
  { width, height }: SizePx,
  channels: number,
  colourSpace: string,
  pieces: readonly Uint8Array[],
): OwnObject {
  const entries = {
    Type: '/XObject',
    Subtype: '/Image',
    Width: `${width}`,
    Height: `${height}`,
    ColorSpace: colourSpace,
    BitsPerComponent: '8',
    Filter: '/FlateDecode',
    // 2 is TIFF's horizontal differencing: ISO 32000-1 table 8 and section 7.4.4.4.
    DecodeParms: `<< /Predictor 2 /Colors ${channels} /BitsPerComponent 8 /Columns ${width} >>`,
  };
  return { entries, pieces };
}

function maskObject({ size: { width, height }, packed }: InkLayer): OwnObject {
  const entries = {
    Type: '/XObject',
    Subtype: '/Image',
    Width: `${width}`,
    Height: `${height}`,
    ImageMask: 'true',
    BitsPerComponent: '1',
    // Black of the packed line decodes to 0, and 0 is painted.
    Decode: '[0 1]',
    Filter: '/CCITTFaxDecode',
    DecodeParms: `<< /K -1 /Columns ${width} /Rows ${height} /BlackIs1 false >>`,
  };
  return { entries, pieces: [packed] };
}

function pageDictionary({ boxes, layers, marks }: PdfPage): string {
  const numbered = (prefix: string, idOf: (layer: number) => number) => {
    return layers.map((_, layer) => [`${prefix}${layer}`, ref(idOf(layer))] as const);
  };
  const resources = {
    ExtGState: pdfDictionary({ Over: ref(ownId.overprint) }),
    XObject: pdfDictionary({ Picture: ref(ownId.picture), ...Object.fromEntries(numbered('Layer', maskId)) }),
    ColorSpace: pdfDictionary({
      ...Object.fromEntries(numbered('Ink', colourSpaceId)),
      ...marks?.colourSpaces,
    }),
  };
  return pdfDictionary({
    Type: '/Page',
    Parent: ref(pageObject.pages),
    MediaBox: pdfNumbers(boxes.media),
    BleedBox: pdfNumbers(boxes.bleed),
    TrimBox: pdfNumbers(boxes.trim),
    Resources: pdfDictionary(resources),
    Contents: ref(ownId.contents),
  });
}

function contentsOf({ boxes, layers, marks }: PdfPage): string {
  const picture = `q ${placedIn(boxes.picture)} cm /Picture Do Q\n`;
  const over = layers.map((layer, index) => {
    const place = placedIn(layerBox(layer, boxes.picture));
    const colour = 'packed' in layer ? `/Ink${index} cs 1 scn ` : '';
    return `q /Over gs ${colour}${place} cm /Layer${index} Do Q\n`;
  });
  return [picture, ...over, marks?.content ?? ''].join('');
}

function placedIn([left, bottom, right, top]: Box): string {
  return [right - left, 0, 0, top - bottom, left, bottom].map(pdfNumber).join(' ');
}

/** SHA-256 over everything that the page shows and says, in hex. */
function identityOf({ intent, picture, layers, ...said }: PdfPage): string {
  const { profile: _, ...named } = intent;
  const inks = layers.map(({ ink, shownAs, size, ppi }) => ({ ink, shownAs, size, ppi }));
  const hash = createHash('sha256').update(JSON.stringify({ ...said, named, size: picture.size, inks }));
  for (const piece of picture.pieces) hash.update(piece);
  for (const layer of layers) {
    for (const piece of 'packed' in layer ? [layer.packed] : layer.pieces) hash.update(piece);
  }
  return hash.digest('hex');
}

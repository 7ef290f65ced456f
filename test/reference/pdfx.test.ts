import { readFile } from 'node:fs/promises';
import { PDFName, PDFRef, PDFString } from '@cantoo/pdf-lib';
import { SaxesParser } from 'saxes';
import { beforeAll, describe, expect, test } from 'vitest';
import { openPress, type Press } from '../../config/press.js';
import { type PdfForm, pdfForms } from '../../config/print-spec.js';
import { packG4 } from '../../pipeline/files/fax-g4.js';
import { joined } from '../../pipeline/files/joined-deflate.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { blackInk } from '../../pipeline/pdf/ink-layers.js';
import { marksOf, marksRoomMm } from '../../pipeline/pdf/marks.js';
import { outputIntentOf } from '../../pipeline/pdf/output-intent.js';
import { pageBoxes } from '../../pipeline/pdf/page-boxes.js';
import { pagePdf } from '../../pipeline/pdf/page-file.js';
import { compositeStrips } from '../../pipeline/write.js';
import { drawLines, drawSeparation } from '../helpers/plates.js';
import { type ReadPdf, readPdf, tableOf } from '../helpers/read-pdf.js';
import { specWith } from '../helpers/specs.js';

/**
 * What PDF/X asks of a page, key by key. The texts of ISO 15930-4 and -7 are not public; what is asserted here is what others have
 * published of them, each source beside its row:
 *
 * - PDF: ISO 32000-1:2008, published by Adobe; clauses by number.
 * - ARL: the Arlington PDF model of the PDF Association (github.com/pdf-association/arlington-pdf-model), types of keys.
 * - 7: scope of ISO 15930-7, standards.globalspec.com/std/10326416: "using PDF 1.6".
 * - 1A: automatizarpdf.com/en/the_pdfx_1a_standard: PDF 1.4 at most, no encryption, complete in itself, what every document has to state.
 * - ND: noduffstuff.co.uk/PDF%20x1a.html: trapped or not, one of trim and art box, bleed between trim and media, an output intent, a flag
 *   that says which PDF/X; no transfer curves, forms, scripts, and a limited number of filters.
 * - NS: the namespaces in pikepdf's models/metadata/_constants.py.
 * - REG: the list of CMYK data at registry.color.org.
 */
const arena = new PageArena();
const spec = specWith({ trim: { widthMm: 30, heightMm: 40 }, colourPpi: 150, linePpi: 300, bleedMm: 3 });
let press: Press;
const read = {} as Record<PdfForm, ReadPdf>;

async function pageOf(form: PdfForm, hasMarks = true) {
  const size = { width: 213, height: 272 };
  const strips = compositeStrips(drawSeparation(size.width, size.height), arena);
  const packed = await strips.all();
  const line = drawLines(size.width * 2, size.height * 2);
  const boxes = pageBoxes(spec, undefined, hasMarks ? marksRoomMm : 0);
  return pagePdf({
    ...{ form, boxes, title: 'Glockenhügel (QRY02), page 7', label: '7', day: '2026-11-20' },
    intent: outputIntentOf(press),
    picture: {
      size,
      channels: 4,
      pieces: joined(packed.map((one, at) => ({ packed: one, bytes: strips.bytesOf(at) }))),
    },
    layers: [
      { ...blackInk, size: { width: line.width, height: line.height }, ppi: 300, packed: packG4(line) },
    ],
    marks: hasMarks ? marksOf(boxes, 'QRY02, page 7') : undefined,
  });
}

beforeAll(async () => {
  press = await openPress({ kind: 'shipped', name: 'fogra39l' });
  for (const form of pdfForms) read[form] = await readPdf(Buffer.concat(await pageOf(form)));
});

/** The text of XMP elements, by name. */
function xmpOf(pdf: ReadPdf): Record<string, string> {
  const found: Record<string, string> = {};
  const path: string[] = [];
  const parser = new SaxesParser({ xmlns: true });
  parser.on('opentag', ({ uri, local }) => path.push(`${uri} ${local}`));
  parser.on('text', (text) => {
    const name = path.findLast((each) => !each.startsWith('http://www.w3.org/1999/02/22-rdf-syntax-ns#'));
    if (text.trim() !== '' && name !== undefined) found[name] = text;
  });
  parser.on('closetag', () => path.pop());
  parser.on('error', (error) => {
    throw error;
  });
  parser.write(Buffer.from(pdf.stream('Root', 'Metadata').contents).toString('utf8')).close();
  return found;
}

const boxOf = (pdf: ReadPdf, name: string) => (pdf.said('Page', 0, name)?.match(/[\d.]+/g) ?? []).map(Number);

describe.each(pdfForms)('a page in PDF/%s', (form) => {
  const pdf = () => read[form];

  test('begins with its version and four bytes above 127 (7; 1A; PDF 7.5.2)', () => {
    expect(pdf().text.startsWith(form === 'x-4' ? '%PDF-1.6\n' : '%PDF-1.4\n')).toBe(true);
    const mark = [...pdf().text.split('\n')[1]];
    expect(mark[0]).toBe('%');
    expect(mark.slice(1, 5).every((byte) => byte.charCodeAt(0) > 127)).toBe(true);
  });

  test('has a classic table whose entries of 20 bytes lead to their objects (PDF 7.5.4)', () => {
    for (const { id, begins } of tableOf(pdf().text)) expect(begins.startsWith(`${id} 0 obj\n`)).toBe(true);
    expect(pdf().text).not.toMatch(/\/ObjStm|\/XRef\b/);
  });

  test('has an identifier of two equal strings, and is not encrypted (1A; PDF 14.4)', () => {
    const [first, second] = [pdf().said('ID', 0), pdf().said('ID', 1)];
    expect(first).toMatch(/^<[0-9A-F]{32}>$/);
    expect(second).toBe(first);
    expect(pdf().text).not.toContain('/Encrypt');
  });

  test('says what it is where its form says so (ARL; ND)', () => {
    const version = pdf().at('Info', 'GTS_PDFXVersion');
    if (form === 'x-1a') expect(version).toBeInstanceOf(PDFString);
    expect(version?.toString()).toBe(form === 'x-1a' ? '(PDF/X-1a:2003)' : undefined);
    const stated = xmpOf(pdf())['http://www.npes.org/pdfx/ns/id/ GTS_PDFXVersion'];
    expect(stated).toBe(form === 'x-4' ? 'PDF/X-4' : undefined);
  });

  test('has a title and dates, and says whether it is trapped by a name (1A; ND; ARL)', () => {
    expect(pdf().document.getTitle()).toBe('Glockenhügel (QRY02), page 7');
    expect(pdf().said('Info', 'CreationDate')).toBe('(D:20261120000000Z)');
    expect(pdf().said('Info', 'ModDate')).toBe('(D:20261120000000Z)');
    expect(pdf().at('Info', 'Trapped')).toBe(PDFName.of('False'));
  });

  test('says the same in XMP, in a stream that is not packed (NS; PDF 14.3.2)', () => {
    const metadata = pdf().stream('Root', 'Metadata').dict;
    expect(metadata.get(PDFName.of('Type'))?.toString()).toBe('/Metadata');
    expect(metadata.get(PDFName.of('Subtype'))?.toString()).toBe('/XML');
    expect(metadata.get(PDFName.of('Filter'))).toBeUndefined();
    const xmp = xmpOf(pdf());
    expect(xmp['http://purl.org/dc/elements/1.1/ title']).toBe(pdf().document.getTitle());
    for (const date of ['CreateDate', 'ModifyDate', 'MetadataDate']) {
      expect(new Date(xmp[`http://ns.adobe.com/xap/1.0/ ${date}`])).toEqual(pdf().document.getCreationDate());
    }
    expect(xmp['http://ns.adobe.com/pdf/1.3/ Trapped']).toBe('False');
    expect(xmp['http://ns.adobe.com/pdf/1.3/ Producer']).toBe(pdf().document.getProducer());
    expect(xmp['http://ns.adobe.com/xap/1.0/mm/ DocumentID']).toMatch(
      /^uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/,
    );
    expect(xmp['http://ns.adobe.com/xap/1.0/mm/ VersionID']).toBeDefined();
    expect(xmp['http://ns.adobe.com/xap/1.0/mm/ RenditionClass']).toBeDefined();
  });

  test('has one output intent, with the registered name and the profile in it (ND; ARL; REG; PDF 14.11.5)', async () => {
    const said = (key: string) => pdf().said('Root', 'OutputIntents', 0, key);
    expect(pdf().at('Root', 'OutputIntents', 1)).toBeUndefined();
    expect(said('S')).toBe('/GTS_PDFX');
    expect(said('OutputConditionIdentifier')).toBe('(FOGRA39)');
    expect(said('RegistryName')).toBe('(http://www.color.org)');
    expect(said('Info')).toBe('(Coated offset)');
    const intent = pdf().text.match(/\/DestOutputProfile (\d+) 0 R/);
    expect(intent).not.toBeNull();
    const profile = pdf().stream('Root', 'OutputIntents', 0, 'DestOutputProfile');
    expect(profile.dict.get(PDFName.of('N'))?.toString()).toBe('4');
    // Class prtr, space CMYK, version 2: ICC.1 sections 7.2.4 to 7.2.6.
    const head = Buffer.from(profile.contents);
    expect([head.toString('latin1', 12, 20), head[8]]).toEqual(['prtrCMYK', 2]);
    expect(head.equals(await readFile(new URL('../../config/profiles/fogra39l.icc', import.meta.url)))).toBe(
      true,
    );
  });

  test('has a trim on the page itself and no other box of its kind, each box within the next (ND; PDF 14.11.2)', () => {
    const [media, bleed, trim] = ['MediaBox', 'BleedBox', 'TrimBox'].map((name) => boxOf(pdf(), name));
    for (const [inner, outer] of [
      [trim, bleed],
      [bleed, media],
    ]) {
      expect(inner.slice(0, 2).every((at, i) => at >= outer[i])).toBe(true);
      expect(inner.slice(2).every((at, i) => at <= outer[i + 2])).toBe(true);
    }
    for (const key of ['ArtBox', 'CropBox', 'UserUnit', 'Rotate'])
      expect(pdf().said('Page', 0, key)).toBeUndefined();
    expect(pdf().document.getPages()[0].node.get(PDFName.of('TrimBox'))).not.toBeInstanceOf(PDFRef);
  });

  test('has no transparency, transfer function, annotation, action or script (ND; 1A; PDF 11.7.4)', () => {
    expect(pdf().text).not.toMatch(
      /\/(SMask|Group|BM|CA|ca|TR2?|HTP|Annots|AA|OpenAction|JavaScript|JS|AcroForm|OPI|Alternates)\b/,
    );
    const over = (key: string) => pdf().said('Page', 0, 'Resources', 'ExtGState', 'Over', key);
    expect([over('OP'), over('op'), over('OPM')]).toEqual(['true', 'true', '1']);
  });

  test('has its picture in DeviceCMYK by deflate, without interpolation (ND; PDF 7.4.4)', () => {
    const said = (key: string) => pdf().said('Page', 0, 'Resources', 'XObject', 'Picture', key);
    expect([said('ColorSpace'), said('BitsPerComponent'), said('Filter')]).toEqual([
      '/DeviceCMYK',
      '8',
      '/FlateDecode',
    ]);
    expect(said('Interpolate')).toBeUndefined();
    expect(pdf().said('Page', 0, 'Resources', 'XObject', 'Picture', 'DecodeParms', 'Predictor')).toBe('2');
    expect(pdf().text).not.toMatch(/\/(LZWDecode|JPXDecode|JBIG2Decode|DeviceRGB|CalRGB|Lab|ICCBased)\b/);
  });

  test('has its line as a mask in one piece of Group 4, in the black separation (PDF 7.4.6, 8.6.6.4, 8.9.6.2)', () => {
    const mask = (...path: string[]) => pdf().said('Page', 0, 'Resources', 'XObject', 'Layer0', ...path);
    expect([mask('ImageMask'), mask('Filter'), mask('DecodeParms', 'K')]).toEqual([
      'true',
      '/CCITTFaxDecode',
      '-1',
    ]);
    expect(mask('ColorSpace')).toBeUndefined();
    expect(mask('Decode')).toBe('[ 0 1 ]');
    expect(mask('DecodeParms', 'BlackIs1')).toBe('false');
    const space = (...path: (string | number)[]) =>
      pdf().said('Page', 0, 'Resources', 'ColorSpace', 'Ink0', ...path);
    expect([space(0), space(1), space(2)]).toEqual(['/Separation', '/Black', '/DeviceCMYK']);
    expect(space(3, 'C1')).toBe('[ 0 0 0 1 ]');
    const contents = Buffer.from(pdf().stream('Page', 0, 'Contents').contents).toString('latin1');
    expect(contents).toMatch(/q \/Over gs \/Ink0 cs 1 scn [\d. ]+ cm \/Layer0 Do Q/);
  });

  test('is called by its label (PDF 12.4.2)', () => {
    expect(pdf().said('Root', 'PageLabels', 'Nums', 1, 'P')).toBe('(7)');
  });

  test('has marks in the registration colour, patches in single inks, and all of it outside the bleed (PDF 8.6.6.4)', () => {
    const space = (name: string, at: number) => pdf().said('Page', 0, 'Resources', 'ColorSpace', name, at);
    expect([space('Registration', 0), space('Registration', 1)]).toEqual(['/Separation', '/All']);
    expect(['Cyan', 'Magenta', 'Yellow', 'Black'].map((ink) => space(`Patch${ink}`, 1))).toEqual(
      ['Cyan', 'Magenta', 'Yellow', 'Black'].map((ink) => `/${ink}`),
    );
    const contents = Buffer.from(pdf().stream('Page', 0, 'Contents').contents).toString('latin1');
    const drawn = contents.slice(contents.indexOf('/Registration'));
    const [left, bottom, right, top] = boxOf(pdf(), 'BleedBox');
    const gap = (1 / 25.4) * 72 - 1e-4;
    const isOutside = (x: number, y: number) =>
      x <= left - gap || x >= right + gap || y <= bottom - gap || y >= top + gap;
    const points = [...drawn.matchAll(/(-?[\d.]+) (-?[\d.]+) [ml]\b/g)].filter(
      ({ index }) => !isOfSlug(drawn, index),
    );
    expect(points.length).toBeGreaterThan(30);
    for (const [, x, y] of points) expect(isOutside(Number(x), Number(y))).toBe(true);
    for (const [, x, y, w] of drawn.matchAll(/([\d.]+) ([\d.]+) ([\d.]+) [\d.]+ re f/g)) {
      expect(isOutside(Number(x), Number(y)) && isOutside(Number(x) + Number(w), Number(y))).toBe(true);
    }
  });

  test('has the same bytes on every run', async () => {
    const again = Buffer.concat(await pageOf(form)).toString('latin1');
    expect(again === pdf().text).toBe(true);
  });
});

/** Outlines of the slug are in a place of their own. */
function isOfSlug(drawn: string, index: number): boolean {
  const from = drawn.indexOf('q 1 0 0 -1');
  return index > from && index < drawn.indexOf(' f Q', from);
}

test("a printer's own profile is named by its description and fingerprint, and by no registry (PDF 14.11.5)", () => {
  const own = { ...press, shipped: undefined, title: 'Our web press', id: 'icc-0123456789ab' };
  const intent = outputIntentOf(own);
  expect(intent.identifier).toBe('Our web press (icc-0123456789ab)');
  expect(intent.isRegistered).toBe(false);
});

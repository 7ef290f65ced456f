import type { PdfForm } from '../../config/print-spec.js';
import { datesOf, pdfDictionary, pdfText } from './notation.js';

/** What a PDF says about itself, twice and in the same words: in its Info dictionary and as XMP. No clock has a part in it. */

/** What both say. */
export interface PdfAbout {
  readonly form: PdfForm;
  readonly title: string;
  /** `YYYY-MM-DD`; undefined where nothing states one. */
  readonly day: string | undefined;
  /** SHA-256 of all that the file holds, in hex. */
  readonly identity: string;
}

/** Header of a file: X-1a:2003 is written in PDF 1.4, X-4 in PDF 1.6. */
export const pdfVersions: Readonly<Record<PdfForm, string>> = { 'x-1a': '1.4', 'x-4': '1.6' };

/** Who made it. Without a version: the same page gives the same bytes. */
const producer = 'platehand';

/** The Info dictionary. Nothing is trapped: line overprints instead. X-4 says what it is in XMP alone. */
export function infoDictionary({ form, title, day }: PdfAbout): string {
  const date = pdfText(datesOf(day).pdf);
  return pdfDictionary({
    Title: pdfText(title),
    Creator: pdfText(producer),
    Producer: pdfText(producer),
    CreationDate: date,
    ModDate: date,
    Trapped: '/False',
    GTS_PDFXVersion: form === 'x-1a' ? pdfText('PDF/X-1a:2003') : undefined,
  });
}

/** XMP properties that hold one plain value, with the namespaces of the Adobe and NPES schemas. */
function plainProperties({ form, day, identity }: PdfAbout): readonly (readonly [string, string])[] {
  const date = datesOf(day).xmp;
  const own: readonly (readonly [string, string])[] =
    form === 'x-4' ? [['pdfxid:GTS_PDFXVersion', 'PDF/X-4']] : [];
  return [
    ['dc:format', 'application/pdf'],
    ['xmp:CreatorTool', producer],
    ['xmp:CreateDate', date],
    ['xmp:ModifyDate', date],
    ['xmp:MetadataDate', date],
    ['xmpMM:DocumentID', `uuid:${uuidOf(identity)}`],
    ['xmpMM:VersionID', '1'],
    ['xmpMM:RenditionClass', 'default'],
    ['pdf:Producer', producer],
    ['pdf:Trapped', 'False'],
    ...own,
  ];
}

const namespaces: Readonly<Record<string, string>> = {
  rdf: 'http://www.w3.org/1999/02/22-rdf-syntax-ns#',
  dc: 'http://purl.org/dc/elements/1.1/',
  xmp: 'http://ns.adobe.com/xap/1.0/',
  xmpMM: 'http://ns.adobe.com/xap/1.0/mm/',
  pdf: 'http://ns.adobe.com/pdf/1.3/',
  pdfxid: 'http://www.npes.org/pdfx/ns/id/',
};

/** The XMP packet, in UTF-8. */
export function xmpPacket(about: PdfAbout): Buffer {
  const declared = Object.entries(namespaces).map(([prefix, uri]) => `xmlns:${prefix}="${uri}"`);
  const plain = plainProperties(about).map(([name, value]) => `<${name}>${escaped(value)}</${name}>`);
  const title = `<dc:title><rdf:Alt><rdf:li xml:lang="x-default">${escaped(about.title)}</rdf:li></rdf:Alt></dc:title>`;
  return Buffer.from(
    [
      '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>',
      '<x:xmpmeta xmlns:x="adobe:ns:meta/">',
      `<rdf:RDF ${declared.join(' ')}>`,
      '<rdf:Description rdf:about="">',
      title,
      ...plain,
      '</rdf:Description>',
      '</rdf:RDF>',
      '</x:xmpmeta>',
      '<?xpacket end="r"?>\n',
    ].join('\n'),
  );
}

/** What XML 1.0 does not take (section 2.2) goes; what it would read as markup is written out. */
function escaped(text: string): string {
  const sound = text.replace(/[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/gu, '');
  return sound.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}

/** A UUID of version 8, whose bits are the maker's own (RFC 9562, section 5.8), from a SHA-256 in hex. */
function uuidOf(identity: string): string {
  const variant = ((Number.parseInt(identity[16], 16) & 3) | 8).toString(16);
  const digits = `${identity.slice(0, 12)}8${identity.slice(13, 16)}${variant}${identity.slice(17, 32)}`;
  return digits.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5');
}

/** How numbers, names, texts and dates are written in a PDF: ISO 32000-1 (PDF 1.7) section 7.3; dates in 7.9.4. */

/** Decimals of a number; a hundred-thousandth of a point is 4 nanometres. */
const decimals = 5;

/** A reference to an object. */
export function ref(id: number): string {
  return `${id} 0 R`;
}

/** A number without exponent, trailing zeros or a minus before zero, to five decimals. */
export function pdfNumber(value: number): string {
  const text = value.toFixed(decimals).replace(/\.?0+$/, '');
  return text === '-0' ? '0' : text;
}

/** Several numbers in brackets. */
export function pdfNumbers(values: readonly number[]): string {
  return `[${values.map(pdfNumber).join(' ')}]`;
}

/** A name: what is no plain letter, digit or stroke is written as #hex of its UTF-8. */
export function pdfName(name: string): string {
  const bytes = [...Buffer.from(name, 'utf8')];
  const isPlain = (byte: number) => /[A-Za-z0-9_.-]/.test(String.fromCharCode(byte));
  const hex = (byte: number) => `#${byte.toString(16).padStart(2, '0').toUpperCase()}`;
  return `/${bytes.map((byte) => (isPlain(byte) ? String.fromCharCode(byte) : hex(byte))).join('')}`;
}

/** A text: printable ASCII as it is, anything else as UTF-16 with its byte order mark, in hex. */
export function pdfText(text: string): string {
  if (/^[\x20-\x7e]*$/.test(text)) return `(${text.replace(/[\\()]/g, '\\$&')})`;
  const units = Buffer.from(`\ufeff${text}`, 'utf16le').swap16();
  return `<${units.toString('hex').toUpperCase()}>`;
}

/** Bytes as a string in hex. */
export function pdfBytes(hex: string): string {
  return `<${hex.toUpperCase()}>`;
}

/** Keys and values; a value that is undefined is left out. */
export function pdfDictionary(entries: Readonly<Record<string, string | undefined>>): string {
  const written = Object.entries(entries).flatMap(([key, value]) => {
    return value === undefined ? [] : [`${pdfName(key)} ${value}`];
  });
  return `<< ${written.join(' ')} >>`;
}

/** The day of a page none of whose files states one. Own choice: a file must have a date, and no clock may give it. */
const dayWithoutDate = '2000-01-01';

/** A calendar day, `YYYY-MM-DD`, as a date of a PDF and of XMP: its midnight, UTC. */
export function datesOf(day: string | undefined): { readonly pdf: string; readonly xmp: string } {
  const stated = day ?? dayWithoutDate;
  return { pdf: `D:${stated.replaceAll('-', '')}000000Z`, xmp: `${stated}T00:00:00Z` };
}

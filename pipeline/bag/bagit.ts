import { counted } from '../../config/figures.js';
import { unportableName } from '../../config/portable-name.js';

/**
 * The text of a bag: declaration, manifests, metadata, and which paths are safe. Writing follows BagIt 1.0 (RFC 8493);
 * reading knows 0.97 as well. Nothing here touches a file.
 */

/** Checksums that this program can compute, strongest last; names as RFC 8493 section 2.4 normalises them. */
export const bagAlgorithms = ['md5', 'sha1', 'sha224', 'sha256', 'sha384', 'sha512'] as const;
export type BagAlgorithm = (typeof bagAlgorithms)[number];

/** Hex digits of each checksum (RFC 1321, RFC 3174, FIPS 180-4). */
const checksumDigits: Readonly<Record<BagAlgorithm, number>> = {
  md5: 32,
  sha1: 40,
  sha224: 56,
  sha256: 64,
  sha384: 96,
  sha512: 128,
};

/** RFC 8493 section 2.1.1: exactly these two lines. */
export const declarationText = 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n';

export interface Declaration {
  readonly version: string;
  readonly encoding: string;
}

/**
 * Reads bagit.txt. The form is strict: two lines in this order, one space after the colon and none before it. Before
 * 1.0 the space around the colon was free.
 * @returns the declaration, or one sentence on what is wrong with it
 */
export function parseDeclaration(text: string): Declaration | string {
  if (text.startsWith('\uFEFF')) return 'it begins with a byte-order mark';
  const lines = splitLines(text);
  if (lines.length !== 2) return `it has ${counted(lines.length, 'line')} instead of two`;
  const loose = /^BagIt-Version[ \t]*:[ \t]*(\d+)\.(\d+)[ \t]*$/.exec(lines[0]);
  if (loose === null) return 'its first line is not "BagIt-Version: M.N"';
  const version = `${loose[1]}.${loose[2]}`;
  const encoding = /^Tag-File-Character-Encoding[ \t]*:[ \t]*(\S+)[ \t]*$/.exec(lines[1]);
  if (encoding === null) return 'its second line is not "Tag-File-Character-Encoding: UTF-8"';
  const exact = [`BagIt-Version: ${version}`, `Tag-File-Character-Encoding: ${encoding[1]}`];
  if (isStrict(version) && (lines[0] !== exact[0] || lines[1] !== exact[1])) {
    return 'a colon in it has space before it, or not exactly one space after it';
  }
  // Also refused in 0.97 bags by the published conformance suite (v0.97/invalid/bagit-with-invalid-whitespace).
  if (/\s:/.test(lines[0] + lines[1])) return 'a colon in it has space before it';
  return { version, encoding: encoding[1] };
}

/** Whether the rules of 1.0 hold, which are stricter than those before it. */
export function isStrict(version: string): boolean {
  return Number(version.split('.')[0]) >= 1;
}

export interface ManifestLine {
  /** Lower case hex. */
  readonly checksum: string;
  /** Decoded path, relative to the bag. */
  readonly path: string;
  /** Whether an asterisk stood before the path, as some checksum tools write for binary mode. */
  readonly asterisk: boolean;
  /** Whether `./` stood before the path, as `find` writes it; it is taken away. */
  readonly dotSlash: boolean;
}

/**
 * Reads one manifest; a line that has not the form is returned as its number, counted from 1. Blank lines, which some
 * tools leave at the end, are passed over.
 */
export function parseManifest(text: string, algorithm: BagAlgorithm): (ManifestLine | number)[] {
  const form = new RegExp(`^([0-9a-fA-F]{${checksumDigits[algorithm]}})[ \\t]+(\\*?)(.+)$`, 'su');
  return splitLines(text).flatMap((line, i): (ManifestLine | number)[] => {
    if (line.trim() === '') return [];
    const found = form.exec(line);
    if (found === null) return [i + 1];
    const path = withoutDotSlash(decodePath(found[3]));
    const marks = { asterisk: found[2] === '*', dotSlash: found[3].startsWith('./') };
    return [{ checksum: found[1].toLowerCase(), path, ...marks }];
  });
}

/** A path that begins at the bag's own folder, without saying so. */
export function withoutDotSlash(path: string): string {
  return path.replace(/^(?:\.\/)+(?=[^/])/, '');
}

/** One manifest of the given files, sorted bytewise by path. */
export function manifestText(files: readonly { readonly path: string; readonly checksum: string }[]): string {
  return [...files]
    .sort((a, b) => compareBytes(a.path, b.path))
    .map((file) => `${file.checksum}  ${encodePath(file.path)}\n`)
    .join('');
}

/** Order of UTF-8 bytes, which no language setting changes. */
export function compareBytes(a: string, b: string): number {
  return Buffer.compare(Buffer.from(a), Buffer.from(b));
}

/** Only line ends and the percent sign itself are encoded; a space stays a space (RFC 8493 section 2.1.3). */
export function encodePath(path: string): string {
  return path.replaceAll('%', '%25').replaceAll('\n', '%0A').replaceAll('\r', '%0D');
}

export function decodePath(encoded: string): string {
  return encoded.replace(/%(0A|0D|25)/gi, (code) => String.fromCharCode(Number.parseInt(code.slice(1), 16)));
}

export interface BagInfo {
  readonly entries: readonly (readonly [label: string, value: string])[];
  /** Numbers of lines without the form `Label: value`, counted from 1. */
  readonly badLines: readonly number[];
}

/** Reads bag-info.txt: `Label: value`, continued on lines that begin with white space (RFC 8493 section 2.2.2). */
export function parseBagInfo(text: string): BagInfo {
  const entries: [string, string][] = [];
  const badLines: number[] = [];
  splitLines(text).forEach((line, i) => {
    const last = entries.at(-1);
    const field = /^([^\s:][^:]*):(.*)$/s.exec(line);
    if (/^[ \t]/.test(line) && last !== undefined) last[1] += ` ${line.trim()}`;
    else if (field !== null) entries.push([field[1].trim(), field[2].trim()]);
    else if (line.trim() !== '') badLines.push(i + 1);
  });
  return { entries, badLines };
}

/**
 * Text of bag-info.txt in the order given. Line ends within a value become spaces.
 * @throws Error for a label that the format cannot hold: a fault of the caller
 */
export function bagInfoText(entries: readonly (readonly [label: string, value: string])[]): string {
  return entries
    .map(([label, value]) => {
      if (!/^[^\s:]([^:\r\n]*[^\s:])?$/.test(label))
        throw new Error(`not a label for bag-info.txt: "${label}"`);
      return `${label}: ${value.replace(/\s*[\r\n]+\s*/g, ' ').trim()}\n`;
    })
    .join('');
}

/**
 * What makes a path unsafe to follow, or undefined for a safe one. Refused is what could lead out of the bag on any
 * system: RFC 8493 section 5.1, APPNOTE 4.4.17.1.
 */
export function unsafePath(path: string): string | undefined {
  if (path === '') return 'it is empty';
  if (path.includes('\0')) return 'it holds a NUL character';
  if (/^[a-zA-Z]:/.test(path)) return 'it begins with a drive letter';
  if (path.startsWith('/') || path.startsWith('\\')) return 'it is absolute';
  if (path.startsWith('~')) return 'it begins with a home folder';
  const segments = path.split(/[/\\]/);
  if (segments.includes('..')) return 'it leads upwards';
  if (segments.includes('.') || segments.includes('')) return 'it holds an empty step or a single dot';
  return undefined;
}

/**
 * Why a path is no fit name inside a bundle that people on any system will open, or undefined when it is: each of its
 * steps has to be a name that every system can keep.
 */
export function unportablePath(path: string): string | undefined {
  const unsafe = unsafePath(path);
  if (unsafe !== undefined) return unsafe;
  return path
    .split('/')
    .map(unportableName)
    .find((why) => why !== undefined);
}

/** Lines end with LF, CR or CRLF; the last end is optional (RFC 8493 section 2.3). */
function splitLines(text: string): string[] {
  const lines = text.split(/\r\n|\n|\r/);
  if (lines.at(-1) === '') lines.pop();
  return lines;
}

import { createHash } from 'node:crypto';
import { PlatehandError } from '../../config/errors.js';
import type { FileHash } from '../reading/hash-file.js';

/**
 * Names of objects, and of what results bring along. They come over a network and from other machines: whatever could mean another place
 * is refused before anything is touched.
 */

/** One part of a name: it begins with no dot, so that unfinished files, which do, are never taken for objects. */
const partPattern = /^[A-Za-z0-9_+=@-][A-Za-z0-9._+=@-]*$/;
/** The longest part is a key with all products; file systems take 255 bytes, and the name of an unfinished file is cut. */
const longestPart = 200;
const longestName = 600;
const shaPattern = /^[0-9a-f]{64}$/;
/** The longest file name that common file systems take, in bytes. */
const longestFileNameBytes = 255;
/** What is left of a base name for people to read. */
const readableLength = 48;
/** 128 bits: no two base names meet. */
const tellingDigits = 32;

/**
 * Refuses a name that an object may not have.
 * @throws PlatehandError `wrong-use`
 */
export function checkObjectName(name: string): void {
  const isRight =
    name.length <= longestName &&
    name.split('/').every((part) => part.length <= longestPart && partPattern.test(part));
  if (!isRight) throw refused('name', name);
}

/** The same for the beginning of names: what stands behind the last slash may be empty. */
export function checkObjectPrefix(prefix: string): void {
  if (prefix === '') return;
  checkObjectName(prefix.endsWith('/') ? prefix.slice(0, -1) : prefix);
}

/** Name of the object that holds these bytes. @throws PlatehandError `wrong-use` where that is no checksum */
export function objectOf({ sha256 }: Pick<FileHash, 'sha256'>): string {
  checkSha256(sha256);
  return `objects/${sha256.slice(0, 2)}/${sha256}`;
}

/** Refuses what is no SHA-256 in lower case hexadecimal; keys are such as well. @throws PlatehandError `wrong-use` */
export function checkSha256(sha256: string): void {
  if (!isSha256(sha256)) throw refused('checksum', sha256);
}

/** Whether that is a SHA-256 in lower case hexadecimal. */
export function isSha256(sha256: unknown): sha256 is string {
  return typeof sha256 === 'string' && shaPattern.test(sha256);
}

/**
 * A base name of any language as one part of an object's name: what can be read of it, then digits of its SHA-256, which tell it from
 * every other, also where a file system takes upper case for lower.
 */
export function pagePartOf(baseName: string): string {
  const readable = baseName
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '')
    .slice(0, readableLength);
  const telling = createHash('sha256').update(baseName).digest('hex').slice(0, tellingDigits);
  return `${readable}=${telling}`;
}

/** Whether a file of that name stays in the folder that it is put into. */
export function isFileName(name: unknown): name is string {
  if (typeof name !== 'string' || name === '' || name === '.' || name === '..') return false;
  if (Buffer.byteLength(name) > longestFileNameBytes) return false;
  // Control characters, and what stands between folders on one system or another.
  return ![...name].some((sign) => sign < ' ' || sign === '\u007f' || sign === '/' || sign === '\\');
}

/** Refuses the name of an output that would leave its folder. @throws PlatehandError `wrong-use` */
export function checkFileName(name: string): void {
  if (!isFileName(name)) throw refused('file name', name);
}

/** What is shown of a refused name. */
const shownLength = 80;

function refused(kind: string, name: string): PlatehandError {
  const shown = JSON.stringify(String(name).slice(0, shownLength));
  return new PlatehandError(
    'wrong-use',
    `A shared store takes no ${kind} such as ${shown}`,
    'If nobody wrote it by hand, somebody else writes to the queue or the store: find out who.',
  );
}

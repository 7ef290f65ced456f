import { isUtf8 } from 'node:buffer';

/**
 * Text that people are shown may hold what others have chosen: names of files and folders, lines of a manifest, what a program complains
 * about. Characters in it that a terminal obeys, or that make text look like another, are written out as JSON writes them.
 */

/**
 * Control characters of both sets (U+0000 to U+001F, U+007F to U+009F), halves of a pair that stand alone, what ends a line or a paragraph,
 * and what turns the direction of the text or is not seen at all.
 */
const unseen = /[\p{Cc}\p{Cs}\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]/gu;

const plain = /^[ -~]*$/;

const shortForms: Readonly<Record<string, string>> = { '\n': '\\n', '\r': '\\r', '\t': '\\t' };

function writtenOut(character: string): string {
  return shortForms[character] ?? `\\u${character.charCodeAt(0).toString(16).padStart(4, '0')}`;
}

/** A text of one line as it may be shown: `\n`, `\t`, `\u001b`, `\u202e` stand for the characters themselves. */
export function visible(text: string): string {
  // Nearly all text is plain, which a short pattern tells several times as fast.
  return plain.test(text) ? text : text.replace(unseen, writtenOut);
}

/** The same for a text of several lines, whose line ends stay. JSON says the same afterwards, as its texts may be written so. */
export function visibleLines(text: string): string {
  return text.split('\n').map(visible).join('\n');
}

/** The same data with every text in it, however deep, as it may be shown. For plain data: objects, lists, and what they hold. */
export function allVisible<T>(data: T): T {
  return shown(data) as T;
}

/** Most of a report is numbers. */
function mayHoldText(value: unknown): boolean {
  return typeof value === 'string' || (typeof value === 'object' && value !== null);
}

function shown(data: unknown): unknown {
  if (typeof data === 'string') return visible(data);
  if (Array.isArray(data)) {
    let others: unknown[] | undefined;
    for (let at = 0; at < data.length; at++) {
      const each: unknown = data[at];
      if (!mayHoldText(each)) continue;
      const now = shown(each);
      if (now === each) continue;
      others ??= [...data];
      others[at] = now;
    }
    return others ?? data;
  }
  if (typeof data !== 'object' || data === null || Object.getPrototypeOf(data) !== Object.prototype)
    return data;
  // Copied only where something in it looks other: a report of 2,000 pages is plain nearly everywhere.
  let others: [string, unknown][] | undefined;
  for (const key of Object.keys(data)) {
    const value = (data as Record<string, unknown>)[key];
    if (!mayHoldText(value)) continue;
    const now = shown(value);
    if (now === value) continue;
    others ??= [];
    others.push([key, now]);
  }
  return others === undefined ? data : { ...data, ...Object.fromEntries(others) };
}

/**
 * A file name as the system keeps it, which need not be UTF-8.
 * @returns the name; where it is none, its sound characters as they are and every other byte as `\xe4`, and `isName` is false
 */
export function nameOfBytes(bytes: Buffer): { readonly name: string; readonly isName: boolean } {
  if (isUtf8(bytes)) return { name: bytes.toString('utf8'), isName: true };
  let name = '';
  for (let at = 0; at < bytes.length; ) {
    const length = characterLengths.find((each) => isUtf8(bytes.subarray(at, at + each)));
    name +=
      length === undefined
        ? `\\x${bytes.toString('hex', at, at + 1)}`
        : bytes.toString('utf8', at, at + length);
    at += length ?? 1;
  }
  return { name, isName: false };
}

/** Bytes of a character in UTF-8. */
const characterLengths = [1, 2, 3, 4];
